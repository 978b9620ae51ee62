package playback

import (
	"context"
	"io"

	"drylane/playback/gapless"
	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// Pass decodes a whole soundtrack and calls fn with one chunk after the other,
// in order and from one goroutine: together they are the frames of a straight
// read, bit for bit. start is the first frame of the chunk; fn must not keep
// frames. An MP3 is decoded on all cores: open is called for each of them, and
// what it returns is closed before Pass returns.
//
// An error of fn, or the end of ctx, ends the pass and is returned.
func Pass(ctx context.Context, name string, open func() (io.ReadSeekCloser, error), fn func(start timebase.Frame, frames [][2]float64) error) error {
	f, err := open()
	if err != nil {
		return err
	}
	s, err := Open(name, f)
	if err != nil {
		return err
	}
	defer s.Close()
	if s.Format() == "MP3" {
		return gapless.Pass(ctx, open, func(start int64, frames [][2]float64) error { return fn(timebase.Frame(start), frames) })
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
