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
	all, err := BuildAll(ctx, []io.WriteSeeker{w}, []*File{f}, told)
	var one *FileError
	if errors.As(err, &one) {
		err = one.Err
	}
	return all[0], err
}

// BuildAll is Build for several files of one length at once: music that they
// have from one Master is decoded once for all of them. What went wrong with one
// of them is a *FileError.
func BuildAll(ctx context.Context, ws []io.WriteSeeker, files []*File, told func(part float64)) (clipped []int64, err error) {
	clipped = make([]int64, len(files))
	outs := make([]*builder, len(files))
	for i, f := range files {
		if outs[i], err = newBuilder(ws[i], f); err != nil {
			return clipped, &FileError{i, err}
		}
	}
	for at := int64(0); at < files[0].Length; at += chunk {
		if err := ctx.Err(); err != nil {
			return clipped, err
		}
		n := min(chunk, files[0].Length-at)
		for i, out := range outs {
			if err := out.write(at, n); err != nil {
				return clipped, &FileError{i, err}
			}
		}
		told(float64(at+n) / float64(files[0].Length))
	}
	for i, out := range outs {
		clipped[i] = out.wav.Clipped()
		if err := out.wav.Close(); err != nil {
			return clipped, &FileError{i, err}
		}
	}
	return clipped, nil
}

// A FileError is what went wrong with one of several files.
type FileError struct {
	Index int
	Err   error
}

func (e *FileError) Error() string { return e.Err.Error() }
func (e *FileError) Unwrap() error { return e.Err }

// A builder writes one file.
type builder struct {
	file   *File
	wav    *playback.WAVWriter
	mono   [2][]float64
	frames [][2]float64
}

func newBuilder(w io.WriteSeeker, f *File) (*builder, error) {
	wav, err := playback.NewWAVWriter(w, f.Rate, 2, f.Encoding)
	if err != nil {
		return nil, err
	}
	return &builder{f, wav, [2][]float64{make([]float64, chunk), make([]float64, chunk)}, make([][2]float64, chunk)}, nil
}

// write writes n frames from frame at on.
func (b *builder) write(at, n int64) error {
	for i := range b.file.Sides {
		if err := b.file.Sides[i].fill(b.mono[i][:n], at); err != nil {
			return err
		}
	}
	for i := range b.frames[:n] {
		b.frames[i] = [2]float64{b.mono[0][i], b.mono[1][i]}
	}
	return b.wav.Write(b.frames[:n])
}

// errLength and errContent are the ways in which a file is not what was built.
var (
	errLength  = errors.New("it is not as long as the master")
	errContent = errors.New("it does not hold what was written")
)
