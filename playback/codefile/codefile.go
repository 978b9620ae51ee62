// Package codefile writes linear timecode into sound files, each read back before it
// gets its name, and reads what a file carries.
package codefile

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/ltc"

	"github.com/faiface/beep"
)

// A Report is the timecode that a channel of a file carries.
type Report struct {
	ltc.Report
	Length time.Duration // of the file
}

// Write writes the timecode of c, one channel of 16 bits, and reads it back before
// the file gets its name. tell is told what is being done and how much of it is
// over, 0 to 1.
func Write(ctx context.Context, to *disk.Target, c ltc.Config, tell func(what string, part float64)) (Report, error) {
	enc, err := ltc.NewEncoder(c)
	if err != nil {
		return Report{}, err
	}
	f, err := to.Open()
	if err != nil {
		return Report{}, err
	}
	defer f.Discard()
	w, err := playback.NewWAVWriter(f, c.SampleRate, 1, playback.WAVInt16)
	if err != nil {
		return Report{}, err
	}
	err = errors.Join(copyStream(ctx, enc, w, func(part float64) { tell("writing timecode", part) }), w.Close())
	if err != nil {
		return Report{}, to.Cannot(err)
	}
	r, err := Read(ctx, f.Name(), "left", func(part float64) { tell("reading timecode", part) })
	if err == nil {
		err = asMeant(r.Report, c)
	}
	if err != nil {
		return r, fmt.Errorf("%s is not kept: %w", to.Name(), err)
	}
	return r, f.Finish()
}

// Read reads the timecode on one side of a file, left or right. told is told how
// much of it is over, 0 to 1.
func Read(ctx context.Context, path, side string, told func(part float64)) (Report, error) {
	s, err := playback.OpenFile(path)
	if err != nil {
		return Report{}, err
	}
	defer s.Close()
	info := s.Info()
	stream := s.PassStream(ctx, func() (io.ReadSeekCloser, error) { return disk.Open(path) })
	defer stream.Close()
	channel := ltc.Left
	if side == "right" {
		channel = ltc.Right
	}
	stream.Told(told)
	r, err := ltc.Analyse(ctx, stream, info.Rate, channel)
	return Report{r, info.Duration()}, err
}

// copyStream writes a whole stream, and stops when ctx ends.
func copyStream(ctx context.Context, s beep.StreamSeeker, w *playback.WAVWriter, told func(part float64)) error {
	buf := make([][2]float64, 1<<14)
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, ok := s.Stream(buf)
		if !ok {
			return s.Err()
		}
		if err := w.Write(buf[:n]); err != nil {
			return err
		}
		told(float64(s.Position()) / float64(max(1, s.Len())))
	}
}

// asMeant holds what was read back against what was to be written.
func asMeant(r ltc.Report, c ltc.Config) error {
	first, err := c.Rate.Index(c.Start)
	if err != nil {
		return err
	}
	frames := c.Rate.FrameAt(int64(c.Length)-1, c.SampleRate) + 1
	last := c.Rate.Timecode(first + frames - 1)
	if r.Rate != c.Rate || r.First.Timecode != c.Start || r.First.Sample() != 0 || r.Last.Timecode != last || r.Frames != frames || r.FaultCount > 0 {
		return fmt.Errorf("read back, it has %s frames a second, %s to %s, %d frames with %d faults; wanted %s, %s to %s, %d frames",
			r.Rate, r.First.Timecode, r.Last.Timecode, r.Frames, r.FaultCount, c.Rate, c.Start, last, frames)
	}
	if found, want := r.First.Word.Extras(r.Rate), c.Extras; found != want {
		return fmt.Errorf("read back, it has the user bits %08X; wanted %08X", uint32(found.User), uint32(want.User))
	}
	return nil
}
