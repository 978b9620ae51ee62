package input

import (
	"io"
	"sync"
	"time"

	"github.com/faiface/beep"
)

// A Stream is what an input of a file or a pipe reads.
type Stream interface {
	// Next fills frames from the start, waits for them if it must, and returns how
	// many there are; with none the error says why, io.EOF at the end.
	Next(frames [][2]float64) (int, error)
	Close() error
}

// catchUp is how much faster than its own pace a pipe is read when it has more: more
// than the clock of what fills it can be off, so that nothing heaps up.
const catchUp = 1.001

// paced is an input of a stream that goes at the pace of a clock.
type paced struct {
	name   string
	rate   int
	source Stream
	now    func() time.Time
	pace   float64 // of the clock's
	ring   *ring
	began  time.Time // zero before the first Read
	read   int64
	last   time.Time // when the last frames were read
	end    sync.Once
	ended  chan struct{}
}

// aheadSeconds is how much of a stream is read before it is asked for.
const aheadSeconds = 1

// Paced returns an input of a stream of so many frames a second that comes in as time
// passes, from the first Read on. For a pipe that something fills as it plays live
// says so: it is read no more slowly than it is filled.
func Paced(name string, rate int, s Stream, live bool, now func() time.Time) Input {
	p := &paced{name: name, rate: rate, source: s, now: now, pace: 1, ring: newRing(aheadSeconds * rate), ended: make(chan struct{})}
	if live {
		p.pace = catchUp
	}
	go p.fill()
	return p
}

func (p *paced) fill() {
	defer close(p.ended)
	buf := make([][2]float64, 1024)
	for {
		n, err := p.source.Next(buf)
		if n > 0 && !p.ring.putAll(buf[:n]) {
			return
		}
		if n == 0 && err != nil {
			p.ring.end(err)
			return
		}
	}
}

func (p *paced) Name() string           { return p.name }
func (p *paced) Rate() int              { return p.rate }
func (p *paced) Latency() time.Duration { return 0 }

func (p *paced) Read(frames [][2]float64) (int, error) {
	now := p.now()
	if p.began.IsZero() {
		p.began, p.last = now, now
	}
	due := int64(now.Sub(p.began).Seconds()*float64(p.rate)*p.pace) - p.read
	n, err := p.ring.take(frames[:max(0, min(int(due), len(frames)))])
	if n > 0 {
		p.read += int64(n)
		p.last = now
		if p.pace > 1 { // what did not come in time is not made up for in a burst
			p.began = later(p.began, now.Add(-time.Duration(float64(p.read)/float64(p.rate)/p.pace*float64(time.Second))-burst))
		}
	}
	return n, err
}

// burst is how much of a pipe may come in at once after it gave nothing for a while.
const burst = 50 * time.Millisecond

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

func (p *paced) Captured(at time.Time) float64 {
	if p.last.IsZero() {
		return 0
	}
	return float64(p.read) + at.Sub(p.last).Seconds()*float64(p.rate)
}

// Close closes the stream once nothing reads it any more. One that waits for a pipe
// is left to its end.
func (p *paced) Close() (err error) {
	p.end.Do(func() {
		p.ring.close()
		select {
		case <-p.ended:
			err = p.source.Close()
		case <-time.After(closeWithin):
			go func() { <-p.ended; p.source.Close() }()
		}
	})
	return err
}

// closeWithin is how long Close waits for a reader.
const closeWithin = 100 * time.Millisecond

// fast is an input of a stream that goes as fast as it is read.
type fast struct {
	name   string
	rate   int
	source Stream
	read   int64
	closed bool
}

// Fast returns an input of a stream that comes in as fast as it is read. Its Read
// waits for the stream, and Captured is what has been read.
func Fast(name string, rate int, s Stream) Input { return &fast{name: name, rate: rate, source: s} }

func (f *fast) Name() string               { return f.name }
func (f *fast) Rate() int                  { return f.rate }
func (f *fast) Latency() time.Duration     { return 0 }
func (f *fast) Captured(time.Time) float64 { return float64(f.read) }

func (f *fast) Read(frames [][2]float64) (int, error) {
	if f.closed {
		return 0, errClosed
	}
	if len(frames) == 0 {
		return 0, nil
	}
	n, err := f.source.Next(frames)
	f.read += int64(n)
	return n, err
}

func (f *fast) Close() error {
	if f.closed {
		return nil
	}
	f.closed = true
	return f.source.Close()
}

// sound is a Stream of what beep streams.
type sound struct {
	beep.Streamer
	close func() error
}

// Sound returns the stream of a sound file that is open; close closes it.
func Sound(s beep.Streamer, close func() error) Stream { return sound{s, close} }

func (s sound) Next(frames [][2]float64) (int, error) {
	n, ok := s.Stream(frames)
	switch {
	case ok && n > 0:
		return n, nil
	case s.Err() != nil:
		return 0, s.Err()
	}
	return 0, io.EOF
}

func (s sound) Close() error { return s.close() }
