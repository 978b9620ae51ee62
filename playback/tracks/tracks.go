// Package tracks builds companion files: a WAV file as long as the master, each
// side of which carries music, timecode, calls, a tone or silence. What was
// built is read back by Verify, which listens for what should be there.
package tracks

import (
	"context"
	"errors"
	"io"

	"drylane/playback"
)

// A Source is what one side carries, as mono frames counted from 0 at the start
// of the master. It belongs to one goroutine.
type Source interface {
	// Fill fills dst with the frames from on, which may lie before the source
	// begins or after it ends: there is silence.
	Fill(dst []float64, from int64) error
	// listener returns what listens for the source on a side of a file.
	listener(f *File, s *Side) listener
}

// A Side is a source, how loud and how late it is.
type Side struct {
	Source Source
	Gain   float64 // factor
	Offset int64   // frames that it is later; negative is earlier
}

// fill fills dst with the side's frames from on.
func (s *Side) fill(dst []float64, from int64) error {
	err := s.Source.Fill(dst, from-s.Offset)
	for i := range dst {
		dst[i] *= s.Gain
	}
	return err
}

// A File is what a companion file holds.
type File struct {
	Rate     int
	Length   int64 // frames, those of the master
	Encoding playback.WAVEncoding
	Sides    [2]Side // left and right
}

// chunk is how many frames are worked on at a time.
const chunk = 1 << 14

// Build writes f to w as a WAV file of two channels, and returns how many
// samples went past full scale and were clipped. told hears which part is done.
func Build(ctx context.Context, w io.WriteSeeker, f *File, told func(part float64)) (clipped int64, err error) {
	out, err := playback.NewWAVWriter(w, f.Rate, 2, f.Encoding)
	if err != nil {
		return 0, err
	}
	var mono [2][]float64
	mono[0], mono[1] = make([]float64, chunk), make([]float64, chunk)
	frames := make([][2]float64, chunk)
	for at := int64(0); at < f.Length; at += chunk {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		n := min(chunk, f.Length-at)
		for i := range f.Sides {
			if err := f.Sides[i].fill(mono[i][:n], at); err != nil {
				return 0, err
			}
		}
		for i := range frames[:n] {
			frames[i] = [2]float64{mono[0][i], mono[1][i]}
		}
		if err := out.Write(frames[:n]); err != nil {
			return 0, err
		}
		told(float64(at+n) / float64(f.Length))
	}
	return out.Clipped(), out.Close()
}

// errLength and errContent are the ways in which a file is not what was built.
var (
	errLength  = errors.New("it is not as long as the master")
	errContent = errors.New("it does not hold what was written")
)
