package following

import (
	"io"
	"time"

	"drylane/playback/follow"
	"drylane/playback/input"
)

// sound is timecode in the sound of an input.
type sound struct {
	in    input.Input
	sides *follow.Sides
	fast  bool // it comes in as fast as it is read
	waits bool // ... and not before
	buf   [][2]float64
	err   error // why nothing comes in any more
}

// bufferSize is how many frames are read in one go.
const bufferSize = 2048

func newSound(in input.Input, cfg follow.Config, fast bool) (*sound, error) {
	cfg.SampleRate = in.Rate()
	sides, err := follow.NewSides(cfg)
	if err != nil {
		in.Close()
		return nil, err
	}
	s := &sound{in: in, sides: sides, fast: fast, buf: make([][2]float64, bufferSize)}
	if fast {
		s.buf = s.buf[:min(bufferSize, int(fastStep.Seconds()*float64(in.Rate())))]
	}
	return s, nil
}

func (s *sound) Look(now time.Time) (follow.Now, error) {
	if s.fast {
		s.readStep()
		return s.sides.At(s.sides.Sample()), s.err
	}
	for s.err == nil {
		n, err := s.in.Read(s.buf)
		s.sides.Write(s.buf[:n])
		s.err = err
		if n < len(s.buf) {
			break
		}
	}
	at := s.in.Captured(now)
	s.sides.Pass(at - (stalled+max(0, s.in.Latency())).Seconds()*float64(s.in.Rate()))
	return s.sides.At(at), s.err
}

// readStep reads one step, or as much of it as there is.
func (s *sound) readStep() {
	for have := 0; have < len(s.buf) && s.err == nil; {
		n, err := s.in.Read(s.buf[have:])
		s.sides.Write(s.buf[have : have+n])
		have += n
		s.err = err
	}
}

func (s *sound) Step() (time.Duration, bool) { return fastStep, s.err == nil }
func (s *sound) Waits() bool                 { return s.waits }
func (s *sound) Name() string                { return "timecode on " + s.in.Name() }
func (s *sound) Close() error                { return s.in.Close() }

// ending is a stream with some silence behind its end.
type ending struct {
	input.Stream
	left int // frames of it
	over bool
}

func (e *ending) Next(frames [][2]float64) (int, error) {
	if !e.over {
		n, err := e.Stream.Next(frames)
		if err != io.EOF {
			return n, err
		}
		e.over = true
	}
	n := min(e.left, len(frames))
	if n == 0 {
		return 0, io.EOF
	}
	clear(frames[:n])
	e.left -= n
	return n, nil
}

// withEnd is a stream of rate frames a second with silence behind its end.
func withEnd(s input.Stream, rate int) input.Stream {
	return &ending{Stream: s, left: int(afterEnd.Seconds() * float64(rate))}
}
