package cuemarkers

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show/timebase"
)

// An Exported says what became of a soundtrack with its cues as markers.
type Exported struct {
	Replaced int   // cue points that the soundtrack had itself, and that were left out
	Late     int   // markers after the end of the music
	Clipped  int64 // samples that went past full scale when decoded
}

// Export writes the music of an opened show with a marker at the effect of each
// cue: a WAV soundtrack as it is, any other decoded. told is told how much of the
// decoding is over, 0 to 1.
func Export(ctx context.Context, f *folder.Folder, to *disk.Target, told func(part float64)) (done Exported, err error) {
	src, err := f.MusicFile()
	if err != nil {
		return done, err
	}
	defer src.Close()
	if f.Music.Format() != "WAV" {
		decoded, clipped, err := decode(ctx, f, told)
		if err != nil {
			return done, err
		}
		defer os.Remove(decoded.Name())
		defer decoded.Close()
		src, done.Clipped = decoded, clipped
	}
	err = to.Write(func(w io.Writer) error {
		var err error
		done.Replaced, done.Late, err = Write(f.Show.Soundtrack.File, w, stoppableFile{disk.Stoppable(ctx, src), src}, f.Show.Cues)
		return err
	})
	return done, err
}

// stoppableFile is a file whose reading ends when its context does.
type stoppableFile struct {
	io.Reader
	io.Seeker
}

// decode writes the soundtrack into a WAV file of its own, of 24 bits unless it has
// 16 or fewer itself. The caller removes it.
func decode(ctx context.Context, f *folder.Folder, told func(part float64)) (_ *os.File, clipped int64, err error) {
	cannot := func(err error) error {
		return fmt.Errorf("%s: the music cannot be decoded: %w", f.Show.Soundtrack.File, disk.Plain(err))
	}
	file, err := os.CreateTemp("", "drylane-*")
	if err != nil {
		return nil, 0, cannot(err)
	}
	defer func() {
		if err != nil {
			file.Close()
			os.Remove(file.Name())
		}
	}()
	encoding := playback.WAVInt24
	if bits := f.Music.Info().Bits; bits > 0 && bits <= 16 {
		encoding = playback.WAVInt16
	}
	w, err := playback.NewWAVWriter(file, f.Music.Rate(), f.Music.Channels(), encoding)
	if err != nil {
		return nil, 0, err
	}
	total := float64(max(1, f.Music.Len()))
	err = playback.Pass(ctx, f.Show.Soundtrack.File, f.MusicFile, func(start timebase.Frame, frames [][2]float64) error {
		told(float64(start) / total)
		return w.Write(frames)
	})
	if err = errors.Join(err, w.Close()); err != nil {
		return nil, 0, cannot(err)
	}
	return file, w.Clipped(), nil
}
