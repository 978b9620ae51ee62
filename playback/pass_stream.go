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

	pipe *Pipe // nil before the first frame is wanted
	stop context.CancelFunc
	at   int
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
	if m.pipe == nil {
		m.begin()
	}
	n, ok = m.pipe.Stream(samples)
	m.at += n
	if m.told != nil {
		m.told(float64(m.at) / float64(max(1, m.Len())))
	}
	return n, ok
}

// begin has the soundtrack decoded ahead.
func (m *PassStream) begin() {
	pipe := NewPipe()
	ctx, stop := context.WithCancel(m.ctx)
	m.pipe, m.stop = pipe, stop
	go func() {
		pipe.End(m.s.Pass(ctx, m.open, func(_ timebase.Frame, frames [][2]float64) error { return pipe.Put(ctx, frames) }))
	}()
}

// Err implements beep.Streamer.
func (m *PassStream) Err() error {
	if m.pipe == nil {
		return nil
	}
	return m.pipe.Err()
}

// Seek implements beep.StreamSeeker, for frame 0 alone.
func (m *PassStream) Seek(frame int) error {
	if frame != 0 {
		return fmt.Errorf("a pass over a whole soundtrack cannot begin at frame %d", frame)
	}
	m.Close()
	m.at = 0
	return nil
}

// Close ends the pass, and waits until nothing is decoded any more. A second call is
// a no-op.
func (m *PassStream) Close() {
	if m.pipe != nil {
		m.stop()
		m.pipe.drain()
		m.pipe = nil
	}
}
