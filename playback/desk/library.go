package desk

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/words"
)

// A Library is what a sound check plays: test signals, and the sound files of one
// show folder or of several.
type Library struct {
	Title    string
	Sources  []Source
	Files    []File
	Warnings []string
	folder   fs.FS
}

func openOne(dir string) (*Library, error) {
	path, files, err := folder.Dir(dir)
	if err != nil {
		return nil, err
	}
	s, problems := show.Read(files)
	if s == nil {
		return nil, problems
	}
	l := NewLibrary(s, files, path)
	if problems.Stop() {
		l.Warnings = append(l.Warnings, words.Count(len(problems), "problem")+" in its files, so it cannot be run as it is")
	}
	return l, nil
}

// NewLibrary is the sound of a show that has been read from the folder files; path
// is what the folder is called.
func NewLibrary(s *show.Show, files fs.FS, path string) *Library {
	l := &Library{Title: s.Title, folder: files}
	if l.Title == "" {
		l.Title = show.Clean(filepath.Base(path))
	}
	l.Files = Survey(s, l.Open)
	l.Sources = Sources(l.Files)
	return l
}

// Open opens a sound file of the library.
func (l *Library) Open(name string) (*playback.Soundtrack, error) {
	return folder.Sound(l.folder, name)
}

// Rate is that of the test signals: the soundtrack's, so that the device need
// not change, or a usual one.
func (l *Library) Rate() int {
	if len(l.Files) > 0 && l.Files[0].Problem == "" {
		return l.Files[0].Info.Rate
	}
	return 48000
}

// Find returns the source that --play names.
func (l *Library) Find(what string) (int, error) {
	i := slices.IndexFunc(l.Sources, func(s Source) bool {
		return s.File == nil && s.Signal.ID() == what || s.File != nil && s.File.Name == what
	})
	if i >= 0 {
		return i, nil
	}
	var names []string
	for _, s := range l.Sources {
		if s.File == nil {
			names = append(names, s.Signal.ID())
		} else {
			names = append(names, s.Title())
		}
	}
	return 0, fmt.Errorf("--play: found %q; wanted one of: %s", what, strings.Join(names, ", "))
}

// Desk returns a desk that plays sources on out.
func (l *Library) Desk(sources []Source, out *Outputs) *Desk {
	s := out.sound
	return New(Config{
		Sources: sources, Open: l.Open, Output: out.open, Rate: out.rate, Now: out.first.Now,
		Gain: [2]Half{Halves(s.Left), Halves(s.Right)}, Level: Halves(s.Level), Over: s.Over,
	})
}
