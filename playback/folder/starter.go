package folder

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

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
	place, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	undo, err := disk.MakeFolders(filepath.Dir(place))
	defer undo() // of those that were needed nothing is removed
	if err != nil {
		return fmt.Errorf("%s: the folder cannot be made: %w", dir, disk.Plain(err))
	}
	return write(dir, place, func(root *os.Root) error {
		if err := errors.Join(show.New(writeIn(root)), starterMusic(root)); err != nil {
			return fmt.Errorf("%s: the show cannot be written: %w", dir, disk.Plain(err))
		}
		return nil
	}, func(fs.FS) {})
}

// starterMusic writes 40 s of a click every half second, a stand-in for music.
func starterMusic(root *os.Root) error {
	const rate, seconds = 44100, 40
	var clicks playback.Voices
	for i := range 2 * seconds {
		clicks.Add(playback.Voice{ID: i, Start: timebase.Frame(i * rate / 2), Sound: synth.Click(rate)})
	}
	music := make([][2]float64, seconds*rate)
	clicks.MixInto(music, 0, [2]float64{0.5, 0.5})
	return create(root, NoSoundtrack, func(f io.WriteSeeker) error {
		w, err := playback.NewWAVWriter(f, rate, 1, playback.WAVInt16)
		if err != nil {
			return err
		}
		return errors.Join(w.Write(music), w.Close())
	})
}
