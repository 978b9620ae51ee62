package playback

import "context"

// A Pipe hands frames from the goroutine that has them to another that pulls them as
// a beep.Streamer. Some are on their way at any time.
type Pipe struct {
	full chan [][2]float64
	free chan [][2]float64 // chunks to be filled again
	now  [][2]float64      // the one that is being read
	rest [][2]float64      // what is left of it
	err  error             // set before full is closed
	over bool              // the reader has met the end
}

// pipeChunks is how many chunks may wait to be read.
const pipeChunks = 8

// NewPipe returns a Pipe without frames.
func NewPipe() *Pipe {
	return &Pipe{full: make(chan [][2]float64, pipeChunks), free: make(chan [][2]float64, pipeChunks+2)}
}

// Put hands frames over; they are copied. It waits while there are too many already,
// until ctx ends.
func (p *Pipe) Put(ctx context.Context, frames [][2]float64) error {
	if len(frames) == 0 {
		return nil
	}
	var to [][2]float64
	select {
	case to = <-p.free:
	default:
	}
	select {
	case p.full <- append(to[:0], frames...):
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// End says that there will be no more frames, and why; nil for no reason.
func (p *Pipe) End(err error) {
	p.err = err
	close(p.full)
}

// Stream implements beep.Streamer.
func (p *Pipe) Stream(samples [][2]float64) (n int, ok bool) {
	for n < len(samples) {
		if len(p.rest) == 0 {
			if cap(p.now) > 0 {
				p.free <- p.now // there is room for all that there are
			}
			p.now, ok = <-p.full
			if p.rest = p.now; !ok {
				p.over = true
				break
			}
		}
		k := copy(samples[n:], p.rest)
		p.rest = p.rest[k:]
		n += k
	}
	return n, n > 0
}

// Err implements beep.Streamer.
func (p *Pipe) Err() error {
	if !p.over {
		return nil
	}
	return p.err
}

// drain waits for the end.
func (p *Pipe) drain() {
	for range p.full {
	}
}
