package screen

import (
	"io"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// escapeWait is how long an escape may be the beginning of a sequence.
const escapeWait = 40 * time.Millisecond

// A chunk is what one read of the terminal brought.
type chunk struct {
	b  []byte
	at time.Time
}

// pump reads keys from r until it ends. What must not wait for the screen is
// done at once by arrived, which gets the time at which the key came; what it
// returns is handed on to send, in order, by a goroutine of its own: send may block
// for as long as the terminal takes nothing.
func pump(r io.Reader, arrived func(Input, time.Time) tea.Msg, send func(tea.Msg)) {
	chunks := make(chan chunk, 64)
	go readChunks(r, chunks)
	out := newOutbox()
	defer out.close()
	go out.deliver(send)
	var d decoder
	var s stamps
	timer := time.NewTimer(time.Hour)
	for {
		var got []Input
		at := time.Now()
		select {
		case c, ok := <-chunks:
			if !ok {
				out.put(GoneMsg{})
				return
			}
			at, got = c.at, d.feed(c.b)
			timer.Reset(escapeWait)
		case <-timer.C:
			got = d.flush()
		}
		for _, in := range got {
			out.put(arrived(in, s.next(at)))
		}
	}
}

// stamps tells the keys of one read apart: each is a nanosecond later than the one
// before, so that their stamps have their order.
type stamps struct{ last time.Time }

func (s *stamps) next(at time.Time) time.Time {
	if !at.After(s.last) {
		at = s.last.Add(1)
	}
	s.last = at
	return at
}

// An outbox holds what is to be sent to the screen. It neither blocks nor drops.
type outbox struct {
	mu     sync.Mutex
	more   *sync.Cond
	list   []tea.Msg
	closed bool
}

func newOutbox() *outbox {
	b := &outbox{}
	b.more = sync.NewCond(&b.mu)
	return b
}

func (b *outbox) put(msg tea.Msg) {
	b.mu.Lock()
	b.list = append(b.list, msg)
	b.mu.Unlock()
	b.more.Signal()
}

// close ends deliver, once all has been sent.
func (b *outbox) close() {
	b.mu.Lock()
	b.closed = true
	b.mu.Unlock()
	b.more.Signal()
}

// deliver sends what is put in until the box is closed.
func (b *outbox) deliver(send func(tea.Msg)) {
	for {
		b.mu.Lock()
		for len(b.list) == 0 && !b.closed {
			b.more.Wait()
		}
		list := b.list
		b.list = nil
		b.mu.Unlock()
		if len(list) == 0 {
			return
		}
		for _, msg := range list {
			send(msg)
		}
	}
}

// readChunks reads r until it ends, and then closes chunks.
func readChunks(r io.Reader, chunks chan<- chunk) {
	defer close(chunks)
	for {
		b := make([]byte, 256)
		n, err := r.Read(b)
		if n > 0 {
			chunks <- chunk{b[:n], time.Now()}
		}
		if err != nil {
			return
		}
	}
}
