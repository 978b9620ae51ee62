package screen

import (
	"io"
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
// done at once, stamped with the time at which it arrived; everything is then
// handed on to send, in order, by a goroutine of its own: send may block.
func pump(r io.Reader, m Model, send func(tea.Msg)) {
	chunks := make(chan chunk, 64)
	go readChunks(r, chunks)
	out := make(chan tea.Msg, 1024)
	defer close(out)
	go func() {
		for msg := range out {
			send(msg)
		}
	}()
	hand := func(msg tea.Msg) {
		select {
		case out <- msg:
		default: // the screen is a thousand messages behind: it need not see this one
		}
	}
	var d decoder
	timer := time.NewTimer(time.Hour)
	for {
		var got []Input
		at := time.Now()
		select {
		case c, ok := <-chunks:
			if !ok {
				hand(GoneMsg{})
				return
			}
			at, got = c.at, d.feed(c.b)
			timer.Reset(escapeWait)
		case <-timer.C:
			got = d.flush()
		}
		for _, in := range got {
			hand(m.Arrived(in, at))
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
