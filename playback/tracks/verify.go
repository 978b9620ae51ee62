package tracks

import (
	"context"
	"errors"
	"fmt"
	"math"

	"drylane/playback"
	"drylane/show/timebase"
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
	all, err := VerifyAll(ctx, []*playback.Soundtrack{s}, []*File{f}, told)
	var one *FileError
	if errors.As(err, &one) {
		err = one.Err
	}
	return all[0], err
}

// VerifyAll is Verify for several files of one length at once, as BuildAll is
// Build.
func VerifyAll(ctx context.Context, built []*playback.Soundtrack, files []*File, told func(part float64)) (found [][2]string, err error) {
	found = make([][2]string, len(files))
	checks := make([]*verifier, len(files))
	for i, f := range files {
		if checks[i], err = newVerifier(built[i], f); err != nil {
			return found, &FileError{i, err}
		}
	}
	for at := int64(0); at < files[0].Length; at += chunk {
		if err := ctx.Err(); err != nil {
			return found, err
		}
		n := min(chunk, files[0].Length-at)
		for i, c := range checks {
			if err := c.check(at, int(n)); err != nil {
				return found, &FileError{i, err}
			}
		}
		told(float64(at+n) / float64(files[0].Length))
	}
	for i, c := range checks {
		if found[i], err = c.verdict(); err != nil {
			return found, &FileError{i, err}
		}
	}
	return found, nil
}

// A verifier reads one file.
type verifier struct {
	file       *File
	built      *playback.Soundtrack
	ears       [2]listener
	frames     [][2]float64
	mono, want []float64
}

func newVerifier(s *playback.Soundtrack, f *File) (*verifier, error) {
	if int64(s.Len()) != f.Length || s.Rate() != f.Rate || s.Channels() != 2 {
		return nil, fmt.Errorf("%w: found %d frames of %d channels at %d Hz, wanted %d frames of 2 at %d Hz",
			errLength, s.Len(), s.Channels(), s.Rate(), f.Length, f.Rate)
	}
	v := &verifier{file: f, built: s, frames: make([][2]float64, chunk), mono: make([]float64, chunk), want: make([]float64, chunk)}
	for i := range v.ears {
		v.ears[i] = f.Sides[i].Source.listener(f, &f.Sides[i])
	}
	return v, nil
}

// check reads the n frames from frame at on.
func (v *verifier) check(at int64, n int) error {
	for got := 0; got < n; {
		k, ok := v.built.Stream(v.frames[got:n])
		if got += k; !ok {
			return fmt.Errorf("%w: it ends after %d of %d frames: %w", errLength, at+int64(got), v.file.Length, v.built.Err())
		}
	}
	for side, ear := range v.ears {
		for i, frame := range v.frames[:n] {
			v.mono[i] = frame[side]
		}
		if err := v.file.same(side, v.mono[:n], v.want[:n], at); err != nil {
			return err
		}
		if err := ear.hear(v.mono[:n], at); err != nil {
			return fmt.Errorf("on the %s side: %w", sideName(side), err)
		}
	}
	return nil
}

// verdict is what was found on the left and on the right.
func (v *verifier) verdict() (found [2]string, err error) {
	for side, ear := range v.ears {
		if found[side], err = ear.verdict(); err != nil {
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
	return timebase.ClockMillis(timebase.Frame(frame).At(f.Rate))
}
