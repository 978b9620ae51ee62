package playback

import (
	"context"
	"fmt"

	"drylane/show/timebase"
)

// A PassStream is a whole pass over a soundtrack as a beep.StreamSeeker, for those
// who pull: it decodes on all cores ahead of them. Of all seeks it knows the one to
// the first frame, which begins the pass anew.
type PassStream struct {
	s    *Soundtrack
	open Opener
	ctx  context.Context
	told func(part float64) // nil: nobody wants to know

	pass *aheadPass // nil before the first frame is wanted
	at   int
	err  error
}

// PassStream returns a pass over s that begins with the first Stream and ends with
// ctx at the latest. open is as for Pass. Nobody may use s before Close.
func (s *Soundtrack) PassStream(ctx context.Context, open Opener) *PassStream {
	return &PassStream{s: s, open: open, ctx: ctx}
}

// Told has fn told how much has been read, 0 to 1.
func (m *PassStream) Told(fn func(part float64)) { m.told = fn }

// Rate is the sample rate in frames a second.
func (m *PassStream) Rate() int { return m.s.Rate() }

// Len is the length in frames, Position how many of them have been read.
func (m *PassStream) Len() int      { return m.s.Len() }
func (m *PassStream) Position() int { return m.at }

// Stream implements beep.Streamer.
func (m *PassStream) Stream(samples [][2]float64) (n int, ok bool) {
	if m.pass == nil {
		m.pass = newAheadPass(m.ctx, m.s, m.open)
	}
	n = m.pass.read(samples)
	m.at += n
	if n < len(samples) {
		m.err = m.pass.err
	}
	if m.told != nil {
		m.told(float64(m.at) / float64(max(1, m.Len())))
	}
	return n, n > 0
}

// Err implements beep.Streamer.
func (m *PassStream) Err() error { return m.err }

// Seek implements beep.StreamSeeker, for frame 0 alone.
func (m *PassStream) Seek(frame int) error {
	if frame != 0 {
		return fmt.Errorf("a pass over a whole soundtrack cannot begin at frame %d", frame)
	}
	m.Close()
	m.at, m.err = 0, nil
	return nil
}

// Close ends the pass. A second call is a no-op.
func (m *PassStream) Close() {
	if m.pass != nil {
		m.pass.end()
		m.pass = nil
	}
}

// An aheadPass decodes in a goroutine of its own, some chunks ahead of its reader.
type aheadPass struct {
	chunks chan [][2]float64
	free   chan [][2]float64 // chunks to be filled again
	now    [][2]float64      // the one that is being read
	rest   [][2]float64      // what is left of it
	err    error             // set before chunks is closed
	cancel context.CancelFunc
}

// chunksAhead is how many chunks are decoded ahead.
const chunksAhead = 8

func newAheadPass(ctx context.Context, s *Soundtrack, open Opener) *aheadPass {
	ctx, cancel := context.WithCancel(ctx)
	p := &aheadPass{chunks: make(chan [][2]float64, chunksAhead), free: make(chan [][2]float64, chunksAhead+2), cancel: cancel}
	go func() {
		defer close(p.chunks)
		p.err = s.Pass(ctx, open, func(_ timebase.Frame, frames [][2]float64) error {
			var to [][2]float64
			select {
			case to = <-p.free:
			default:
			}
			select {
			case p.chunks <- append(to[:0], frames...):
				return nil
			case <-ctx.Done():
				return ctx.Err()
			}
		})
	}()
	return p
}

// read fills samples, unless the pass ends before.
func (p *aheadPass) read(samples [][2]float64) (n int) {
	for n < len(samples) {
		if len(p.rest) == 0 {
			if cap(p.now) > 0 {
				p.free <- p.now // there is room for all that there are
			}
			p.now = <-p.chunks
			if p.rest = p.now; len(p.rest) == 0 {
				break
			}
		}
		k := copy(samples[n:], p.rest)
		p.rest = p.rest[k:]
		n += k
	}
	return n
}

// end ends the pass and waits until nothing is decoded any more.
func (p *aheadPass) end() {
	p.cancel()
	for range p.chunks {
	}
}
