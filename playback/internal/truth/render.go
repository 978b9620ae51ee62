package truth

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// Where Debian's packages put what the music is made of: openttd-openmsx
// (pieces), timgm6mb-soundfont (instruments). The program fluidsynth plays them.
const (
	midiFolder = "/usr/share/games/openttd/baseset/openmsx"
	soundFont  = "/usr/share/sounds/sf2/TimGM6mb.sf2"
)

// Pieces returns the paths of the packaged MIDI files, in order of name. The
// error says which package is missing.
func Pieces() ([]string, error) {
	list, err := filepath.Glob(filepath.Join(midiFolder, "*.mid"))
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("found no MIDI files in %s; wanted those of the package openttd-openmsx", midiFolder)
	}
	if _, missing := os.Stat(soundFont); err == nil && missing != nil {
		err = fmt.Errorf("found no %s; wanted that of the package timgm6mb-soundfont", soundFont)
	}
	return list, err
}

// A Piece is rendered music with its onsets.
type Piece struct {
	Name   string
	WAV    string // path
	Onsets []time.Duration
	Notes  []Note
}

// Render plays the MIDI file at path into a WAV file in folder.
func Render(ctx context.Context, path, folder string) (*Piece, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	notes, err := ReadMIDI(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	name := filepath.Base(path)
	name = name[:len(name)-len(filepath.Ext(name))]
	p := &Piece{Name: name, WAV: filepath.Join(folder, name+".wav"), Notes: notes, Onsets: Onsets(notes)}
	if err := play(ctx, soundFont, path, p.WAV); err != nil {
		return nil, err
	}
	return p, nil
}
