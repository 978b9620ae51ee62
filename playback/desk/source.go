package desk

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"drylane/playback"
	"drylane/show"

	"github.com/faiface/beep"
)

// A Source is one thing that a check can play.
type Source struct {
	Signal Signal // when File is nil
	File   *File
}

// A File is a sound file that the show names.
type File struct {
	Name    string        // in the show folder
	Uses    []string      // what the show uses it for
	Info    playback.Info // when there is no Problem
	Problem string        // why it cannot be played, in a sentence
	Caution string        // what may be wrong with it, in a sentence
}

// An Opener opens a sound file of the show folder by its name.
type Opener func(name string) (*playback.Soundtrack, error)

// Title names the source in a list; it is safe to print.
func (s Source) Title() string {
	if s.File == nil {
		return s.Signal.Title()
	}
	return show.Clean(s.File.Name)
}

// Endless reports whether the source plays until it is stopped.
func (s Source) Endless() bool { return s.File == nil }

// Sources lists the test signals and then the files.
func Sources(files []File) []Source {
	var list []Source
	for s := range SignalCount {
		list = append(list, Source{Signal: s})
	}
	for i := range files {
		list = append(list, Source{File: &files[i]})
	}
	return list
}

// Survey opens every file that the show names, once each, and says what is
// found. The soundtrack comes first, then tracks, then players.
func Survey(s *show.Show, open Opener) []File {
	var files []File
	add := func(name, use string) {
		if name == "" {
			return
		}
		if i := slices.IndexFunc(files, func(f File) bool { return f.Name == name }); i >= 0 {
			files[i].Uses = append(files[i].Uses, use)
			return
		}
		files = append(files, File{Name: name, Uses: []string{use}})
	}
	add(s.Soundtrack.File, "soundtrack")
	for _, t := range s.Tracks {
		add(t.File, trackUse(t))
	}
	for _, p := range s.Players {
		add(p.File, "player "+show.Clean(p.Name))
	}
	for i := range files {
		files[i].probe(open)
	}
	return files
}

// trackUse says what a companion track carries on which side.
func trackUse(t show.Track) string {
	var sides []string
	if t.Left != "" {
		sides = append(sides, "left "+show.Clean(t.Left))
	}
	if t.Right != "" {
		sides = append(sides, "right "+show.Clean(t.Right))
	}
	if len(sides) == 0 {
		return "track"
	}
	return "track with " + strings.Join(sides, ", ")
}

func (f *File) probe(open Opener) {
	m, err := open(f.Name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f.Problem = fmt.Sprintf("%s is missing: it is not in the show folder, and show.toml wants it (%s)", show.Clean(f.Name), strings.Join(f.Uses, "; "))
		return
	case err != nil:
		f.Problem = show.Clean(err.Error())
		return
	}
	defer m.Close()
	f.Info = m.Info()
	if t := cmp.Or(f.Info.Truncated, f.Info.Odd, f.Info.Unstated); t != "" {
		f.Caution = show.Clean(f.Name) + ": " + show.Clean(t)
	}
}

// A feed is a source being played: its frames, and how many there are.
type feed struct {
	music  beep.StreamSeeker
	rate   int
	signal bool // scaled by the level of test signals
	close  func() error
}

// A loop is a beep.StreamSeeker that begins again at its end. beep.Loop gives a
// streamer that cannot seek, and a beep.Buffer, which would hold the frames,
// rounds them: at its finest, 6 bytes, 99 samples in 100 of k/32768 come back
// changed (measured, v1.1.0).
type loop struct {
	frames [][2]float64
	pos    int
}

func (l *loop) Stream(out [][2]float64) (int, bool) {
	for n := 0; n < len(out); {
		k := copy(out[n:], l.frames[l.pos:])
		n += k
		l.pos = (l.pos + k) % len(l.frames)
	}
	return len(out), true
}

func (l *loop) Err() error    { return nil }
func (l *loop) Len() int      { return len(l.frames) }
func (l *loop) Position() int { return l.pos }

func (l *loop) Seek(frame int) error {
	l.pos = frame % len(l.frames)
	return nil
}

// openSource gets a source ready to play; signals run at rate.
func openSource(s Source, rate int, open Opener) (*feed, error) {
	if s.File == nil {
		return &feed{&loop{frames: s.Signal.Loop(rate)}, rate, true, func() error { return nil }}, nil
	}
	if s.File.Problem != "" {
		return nil, errors.New(s.File.Problem)
	}
	m, err := open(s.File.Name)
	if err != nil {
		return nil, errors.New(show.Clean(err.Error()))
	}
	return &feed{m, m.Rate(), false, m.Close}, nil
}
