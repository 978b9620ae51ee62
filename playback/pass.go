package playback

import (
	"context"
	"io"

	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// An Opener opens a sound file anew.
type Opener = func() (io.ReadSeekCloser, error)

// Pass opens a soundtrack, decodes all of it as Soundtrack.Pass does, and closes it.
func Pass(ctx context.Context, name string, open Opener, fn func(start timebase.Frame, frames [][2]float64) error) error {
	f, err := open()
	if err != nil {
		return err
	}
	s, err := Open(name, f)
	if err != nil {
		return err
	}
	defer s.Close()
	return s.Pass(ctx, open, fn)
}

// Pass decodes the whole soundtrack and calls fn with one chunk after the other,
// in order and from one goroutine: together they are the frames of a straight
// read, bit for bit. start is the first frame of the chunk; fn must not keep
// frames. An MP3 is decoded on all cores: open is called for each of them but one,
// and what it returns is closed before Pass returns.
//
// Nobody may use s meanwhile. It then stands anywhere, and its Info lists all
// damage. An error of fn, or the end of ctx, ends the pass and is returned.
func (s *Soundtrack) Pass(ctx context.Context, open Opener, fn func(start timebase.Frame, frames [][2]float64) error) error {
	if m, ok := s.decoder.(mp3File); ok {
		return m.Reader.Pass(ctx, open, func(start int64, frames [][2]float64) error {
			decoded.Add(int64(len(frames)))
			return fn(timebase.Frame(start), frames)
		})
	}
	if err := s.Seek(0); err != nil {
		return err
	}
	return straight(ctx, s, fn)
}

// straight is Pass on one core.
func straight(ctx context.Context, s beep.StreamSeeker, fn func(start timebase.Frame, frames [][2]float64) error) error {
	buf := make([][2]float64, 1<<14)
	for at := timebase.Frame(0); ; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, ok := s.Stream(buf)
		if n > 0 {
			if err := fn(at, buf[:n]); err != nil {
				return err
			}
			at += timebase.Frame(n)
		}
		if !ok {
			return s.Err()
		}
	}
}
