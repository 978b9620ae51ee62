package following

import (
	"io"
	"time"

	"drylane/playback/ear"
	"drylane/playback/follow"
	"drylane/playback/input"
)

// A reader tells from sound where the music is. Its samples are frames of the sound.
type reader interface {
	Write(frames [][2]float64)
	Pass(sample float64) // nothing has come in up to there
	Sample() float64     // how many have been written
	At(sample float64) follow.Now
	Err() error // why none of it can be read
	Close()
}

// coded reads timecode.
type coded struct{ *follow.Sides }

func (coded) Err() error { return nil }
func (coded) Close()     {}

// sound follows the sound of an input.
type sound struct {
	in    input.Input
	what  string // is in it
	read  reader
	fast  bool // it comes in as fast as it is read
	waits bool // ... and not before
	buf   [][2]float64
	err   error // why nothing comes in any more
}

// bufferSize is how many frames are read in one go.
const bufferSize = 2048

// newSound follows an input as p has it, and closes it when that fails. live says that
// what comes in does not wait.
func newSound(in input.Input, p Place, live bool) (*sound, error) {
	fast := p.Now == nil
	s := &sound{in: in, what: kind(p.What), fast: fast, buf: make([][2]float64, bufferSize)}
	var err error
	if s.read, err = p.reader(in.Rate(), live); err != nil {
		in.Close()
		return nil, err
	}
	if fast {
		s.buf = s.buf[:min(bufferSize, int(fastStep.Seconds()*float64(in.Rate())))]
	}
	return s, nil
}

func (s *sound) Look(now time.Time) (follow.Now, error) {
	if s.fast {
		s.readStep()
		return s.read.At(s.read.Sample()), s.err
	}
	for s.err == nil {
		n, err := s.in.Read(s.buf)
		s.read.Write(s.buf[:n])
		s.err = err
		if n < len(s.buf) {
			break
		}
	}
	at := s.in.Captured(now)
	if err := s.read.Err(); err != nil {
		s.err = err
	}
	s.read.Pass(at - (stalled+max(0, s.in.Latency())).Seconds()*float64(s.in.Rate()))
	return s.read.At(at), s.err
}

// readStep reads one step, or as much of it as there is.
func (s *sound) readStep() {
	for have := 0; have < len(s.buf) && s.err == nil; {
		n, err := s.in.Read(s.buf[have:])
		s.read.Write(s.buf[have : have+n])
		have += n
		s.err = err
	}
}

func (s *sound) Step() (time.Duration, bool) { return fastStep, s.err == nil }
func (s *sound) Waits() bool                 { return s.waits }
func (s *sound) Name() string                { return s.what + " on " + s.in.Name() }

func (s *sound) Close() error {
	s.read.Close()
	return s.in.Close()
}

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

// withEnd is a stream of rate frames a second with silence behind its end, for as long as
// it takes to notice that nothing is left.
func withEnd(s input.Stream, rate int, byEar bool) input.Stream {
	silence := afterEnd
	if byEar {
		silence += ear.Noticed
	}
	return &ending{Stream: s, left: int(silence.Seconds() * float64(rate))}
}
