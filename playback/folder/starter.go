package folder

import (
	"errors"
	"fmt"
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
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("%s: the folder cannot be made: %w", dir, disk.Plain(err))
	}
	write := func(name string, data []byte) error {
		return os.WriteFile(filepath.Join(dir, name), data, 0o644)
	}
	if err := errors.Join(show.New(write), starterMusic(filepath.Join(dir, NoSoundtrack))); err != nil {
		return fmt.Errorf("%s: the show cannot be written: %w", dir, err)
	}
	return nil
}

// starterMusic writes 40 s of a click every half second, a stand-in for music.
func starterMusic(path string) error {
	const rate, seconds = 44100, 40
	f, err := disk.NewPending(path)
	if err != nil {
		return err
	}
	defer f.Cleanup()
	w, err := playback.NewWAVWriter(f, rate, 1, playback.WAVInt16)
	if err != nil {
		return err
	}
	var clicks playback.Voices
	for i := range 2 * seconds {
		clicks.Add(playback.Voice{ID: i, Start: timebase.Frame(i * rate / 2), Sound: synth.Click(rate)})
	}
	music := make([][2]float64, seconds*rate)
	clicks.MixInto(music, 0, [2]float64{0.5, 0.5})
	if err := errors.Join(w.Write(music), w.Close()); err != nil {
		return err
	}
	return f.CloseAtomicallyReplace()
}
