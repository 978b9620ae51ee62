package folder

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/synth"
	"drylane/show"
	"drylane/show/timebase"
)

// WriteStarter makes a small show to start from in dir, which must not be there
// yet, or be empty.
func WriteStarter(dir string) error {
	if list, err := os.ReadDir(dir); err == nil && len(list) > 0 {
		return fmt.Errorf("%s: found a folder with files in it; wanted a new or an empty one", dir)
	}
	return writeNew(dir, func(root *os.Root) error {
		if err := writeStarter(root); err != nil {
			return fmt.Errorf("%s: the show cannot be written: %w", dir, disk.Plain(err))
		}
		return nil
	}, func(fs.FS) {})
}

func writeStarter(root *os.Root) error {
	if err := show.New(writeIn(root)); err != nil {
		return err
	}
	s, err := show.Load(root.FS())
	if err != nil {
		return err
	}
	return starterMusic(root, s.Witness)
}

// The witness tone of the starter: it ends as the next click begins, so that
// nothing is heard between the beats.
const (
	witnessHertz = 1000
	witnessFor   = 500 * time.Millisecond
)

// starterMusic writes 40 s of a click every half second, a stand-in for music,
// with the witness tone at its time in place of the click there.
func starterMusic(root *os.Root, witness *show.Witness) error {
	const rate, seconds = 44100, 40
	begin := timebase.FrameAt(witness.At, rate)
	length := timebase.FrameAt(witnessFor, rate)
	var sounds playback.Voices
	sounds.Add(playback.Voice{ID: -1, Start: begin, Sound: synth.Tone(witnessHertz, rate, int(length))})
	for i := range 2 * seconds {
		if start := timebase.Frame(i * rate / 2); start < begin || start >= begin+length {
			sounds.Add(playback.Voice{ID: i, Start: start, Sound: synth.Click(rate)})
		}
	}
	music := make([][2]float64, seconds*rate)
	sounds.MixInto(music, 0, [2]float64{0.5, 0.5})
	return create(root, NoSoundtrack, func(f io.WriteSeeker) error {
		w, err := playback.NewWAVWriter(f, rate, 1, playback.WAVInt16)
		if err != nil {
			return err
		}
		return errors.Join(w.Write(music), w.Close())
	})
}
