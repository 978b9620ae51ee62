package tracks

import (
	"context"
	"fmt"
	"math"
	"time"

	"drylane/playback"
)

// A listener hears one side of a file from its first frame to its last, and
// says what it found. It does not know how the side was made: it measures.
type listener interface {
	// hear takes the next samples, which begin at frame from of the file.
	hear(samples []float64, from int64) error
	// verdict is what was found, in a line for a person, or what is wrong.
	verdict() (string, error)
}

// Verify reads a built file to its end: it has the master's length and rate,
// each sample is the one that was to be written, to the last bit of the
// encoding, and what each side should carry is found on it. It returns what was
// found on the left and on the right.
func Verify(ctx context.Context, s *playback.Soundtrack, f *File, told func(part float64)) (found [2]string, err error) {
	if int64(s.Len()) != f.Length || s.Rate() != f.Rate || s.Channels() != 2 {
		return found, fmt.Errorf("%w: found %d frames of %d channels at %d Hz, wanted %d frames of 2 at %d Hz",
			errLength, s.Len(), s.Channels(), s.Rate(), f.Length, f.Rate)
	}
	var ears [2]listener
	for i := range ears {
		ears[i] = f.Sides[i].Source.listener(f, &f.Sides[i])
	}
	frames, mono, want := make([][2]float64, chunk), make([]float64, chunk), make([]float64, chunk)
	at := int64(0)
	for {
		if err := ctx.Err(); err != nil {
			return found, err
		}
		n, ok := s.Stream(frames[:min(chunk, f.Length-at)])
		if !ok || n == 0 {
			break
		}
		for side := range ears {
			for i, frame := range frames[:n] {
				mono[i] = frame[side]
			}
			if err := f.same(side, mono[:n], want[:n], at); err != nil {
				return found, err
			}
			if err := ears[side].hear(mono[:n], at); err != nil {
				return found, fmt.Errorf("on the %s side: %w", sideName(side), err)
			}
		}
		at += int64(n)
		told(float64(at) / float64(f.Length))
	}
	if err := s.Err(); err != nil || at != f.Length {
		return found, fmt.Errorf("%w: it ends after %d of %d frames: %w", errLength, at, f.Length, err)
	}
	for side := range ears {
		if found[side], err = ears[side].verdict(); err != nil {
			return found, fmt.Errorf("on the %s side: %w", sideName(side), err)
		}
	}
	return found, nil
}

func sideName(side int) string { return [...]string{"left", "right"}[side] }

// same holds the samples of a side against what was to be written.
func (f *File) same(side int, got, want []float64, at int64) error {
	if err := f.Sides[side].fill(want, at); err != nil {
		return err
	}
	for i, w := range want {
		if d := math.Abs(got[i] - max(-1, min(w, 1))); !(d <= f.step()) {
			return fmt.Errorf("%w: frame %d on the %s side is off by %g", errContent, at+int64(i), sideName(side), d)
		}
	}
	return nil
}

// step is one step of the file's encoding.
func (f *File) step() float64 {
	if f.Encoding == playback.WAVInt16 {
		return 1.0 / (1 << 15)
	}
	return 1.0 / (1 << 23)
}

// clock writes a frame of the file as a time.
func (f *File) clock(frame int64) string {
	d := playback.Frame(frame).At(f.Rate).Round(time.Millisecond)
	ms := d.Milliseconds()
	return fmt.Sprintf("%d:%02d.%03d", ms/60_000, ms/1000%60, ms%1000)
}
