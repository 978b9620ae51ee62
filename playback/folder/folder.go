// Package folder opens show folders: the show, its soundtrack, and every other
// file that a show names. What it opens is never written to; a new show folder is
// made whole or not at all.
package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"sync"

	"drylane/playback"
	"drylane/playback/listen"
	"drylane/show"
)

// A Folder is a show folder with its soundtrack open.
type Folder struct {
	Show     *show.Show
	Path     string // for the log and for people
	Files    fs.FS
	Music    *playback.Soundtrack
	SHA256   string   // of the soundtrack file
	Warnings []string // what is worth saying before the run, a line each

	file *masterReader // of Music; holds it open for others to read
}

// Open opens the show in the folder dir; links that lead out of it are not
// followed.
func Open(dir string) (*Folder, error) {
	path, files, err := Dir(dir)
	if err != nil {
		return nil, err
	}
	return OpenFS(path, files)
}

// OpenFS opens the show in files; path is what the folder is called. Its error
// lists everything that is wrong with show.toml, the cue list and the
// soundtrack, one line each.
func OpenFS(path string, files fs.FS) (*Folder, error) {
	f := &Folder{Path: path, Files: files}
	var prepare sync.WaitGroup
	var musicErr error
	s, problems := show.ReadNaming(files, func(s *show.Show) {
		if name := s.Soundtrack.File; name != "" {
			prepare.Go(func() { musicErr = f.prepareMusic(name) })
		}
	})
	prepare.Wait()
	if s == nil {
		f.Close()
		return nil, problems
	}
	f.Show = s
	Name(s, path)
	if f.Music != nil {
		musicErr = errors.Join(musicErr, f.isWritten())
	}
	if f.Music != nil {
		problems = append(problems, show.CheckLength(s, f.Music.Info().Duration())...)
	}
	if problems.Stop() || musicErr != nil {
		f.Close()
		return nil, errors.Join(asError(problems), musicErr)
	}
	for _, p := range problems {
		f.Warnings = append(f.Warnings, p.Severity.String()+": "+p.Error())
	}
	info := f.Music.Info()
	if info.Odd != "" {
		f.Warnings = append(f.Warnings, "warning: "+s.Soundtrack.File+": "+info.Odd)
	}
	if info.Unstated != "" {
		f.Warnings = append(f.Warnings, "note: "+s.Soundtrack.File+": "+info.Unstated)
	}
	return f, nil
}

// Read reads the show in the folder dir for those who do not need its music.
func Read(dir string) (*show.Show, error) {
	path, files, err := Dir(dir)
	if err != nil {
		return nil, err
	}
	s, err := show.Load(files)
	if err != nil {
		return nil, err
	}
	Name(s, path)
	return s, nil
}

// Name gives a show without a title that of its folder.
func Name(s *show.Show, path string) {
	if s.Title == "" {
		s.Title = show.Clean(filepath.Base(path))
	}
}

// Close closes the soundtrack. Who still reads it otherwise may go on.
func (f *Folder) Close() {
	if f.Music != nil {
		f.Music.Close()
	}
	if f.file != nil {
		f.file.Close()
	}
}

// prepareMusic opens the soundtrack and hashes it. The error says all that is
// wrong with it.
func (f *Folder) prepareMusic(name string) error {
	var err error
	if f.file, err = openMaster(f.Files, name); err != nil {
		return err
	}
	var hashing sync.WaitGroup
	var hashErr error
	hashing.Go(func() { f.SHA256, hashErr = f.file.m.hash(context.Background()) })
	f.Music, err = f.OpenMusic()
	hashing.Wait()
	if err != nil {
		f.Music = nil
		return err
	}
	if t := f.Music.Info().Truncated; t != "" {
		err = fmt.Errorf("%s: %s", name, t)
	}
	return errors.Join(err, hashErr)
}

// asError returns the problems as an error, or nil when there are none.
func asError(problems show.Problems) error {
	if len(problems) == 0 {
		return nil
	}
	return problems
}

// OpenMusic gives the soundtrack once more, any number of times: each can be read
// apart from the others, and all of them read the one file that was opened and
// hashed. An error is that of a file which changed since.
func (f *Folder) OpenMusic() (*playback.Soundtrack, error) { return f.file.m.sound() }

// MusicFile gives a reader of the soundtrack's file, as OpenMusic does.
func (f *Folder) MusicFile() (io.ReadSeekCloser, error) { return f.file.m.reader(), nil }

// Listened is the soundtrack's file for those who listen to all of it.
func (f *Folder) Listened() listen.File {
	return listen.File{Name: f.Show.Soundtrack.File, Open: f.MusicFile, SHA256: f.SHA256, Changed: f.MusicChanged}
}

// MusicChanged says in a sentence how the soundtrack's file is no longer what it was
// when it was opened; nil when it is.
func (f *Folder) MusicChanged() error { return f.file.m.changed() }

// isWritten holds the hash of the soundtrack file against the one in show.toml.
func (f *Folder) isWritten() error {
	if want := f.Show.Soundtrack.SHA256; want != "" && f.SHA256 != "" && want != f.SHA256 {
		return fmt.Errorf("%s: found another file than the one show.toml was written for (SHA-256 %.12s...); wanted %.12s...: put the right file there, or change soundtrack.sha256",
			f.Show.Soundtrack.File, f.SHA256, want)
	}
	return nil
}
