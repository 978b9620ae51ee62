package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/timebase"
)

// A loaded show is a show folder with its soundtrack open.
type loaded struct {
	show   *show.Show
	folder string // for the log and for people
	fsys   fs.FS
	music  *playback.Soundtrack
	sha    string    // of the soundtrack file
	warn   []string  // what is worth saying before the run
	drill  *exercise // nil when this is no drill
	night  []string  // what the other shows of the night forbid
}

// openFolder opens the show in a folder; links that lead out of it are not
// followed.
func openFolder(dir string) (*loaded, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("%s: found no show folder; wanted a folder with show.toml and what it names (%w)", dir, disk.Plain(err))
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		abs = dir
	}
	return openShow(abs, regular{root.FS()})
}

// regular is a file system that opens nothing but files and folders: a pipe
// or a device by the name of a soundtrack would be waited for without end.
type regular struct{ fs.FS }

func (r regular) Open(name string) (fs.File, error) {
	info, err := fs.Stat(r.FS, name)
	if err != nil {
		return nil, err
	}
	if m := info.Mode(); !m.IsRegular() && !m.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("it is no ordinary file")}
	}
	return r.FS.Open(name)
}

// openShow opens the show in fsys. Its error lists everything that is wrong
// with show.toml, the cue list and the soundtrack, one line each.
func openShow(folder string, fsys fs.FS) (*loaded, error) {
	s, problems := show.Read(fsys)
	if s == nil {
		return nil, problems
	}
	if s.Title == "" {
		s.Title = show.Clean(filepath.Base(folder))
	}
	l := &loaded{show: s, folder: folder, fsys: fsys}
	var musicErr error
	if s.Soundtrack.File != "" {
		musicErr = l.prepareMusic()
	}
	if l.music != nil {
		problems = append(problems, show.CheckLength(s, timebase.Frame(l.music.Len()).At(l.music.Rate()))...)
	}
	if problems.Stop() || musicErr != nil {
		if l.music != nil {
			l.music.Close()
		}
		return nil, errors.Join(stops(problems), musicErr)
	}
	for _, p := range problems {
		l.warn = append(l.warn, p.Severity.String()+": "+p.Error())
	}
	if info := l.music.Info(); info.Unstated != "" {
		l.warn = append(l.warn, "note: "+s.Soundtrack.File+": "+info.Unstated)
	}
	return l, nil
}

// prepareMusic opens the soundtrack and hashes it. The error says all that is
// wrong with it.
func (l *loaded) prepareMusic() error {
	var err error
	if l.music, err = l.openMusic(); err != nil {
		l.music = nil
		return err
	}
	if t := l.music.Info().Truncated; t != "" {
		err = fmt.Errorf("%s: %s", l.show.Soundtrack.File, t)
	}
	return errors.Join(err, l.hashMusic())
}

// stops returns the problems as an error, or nil when there are none.
func stops(problems show.Problems) error {
	if len(problems) == 0 {
		return nil
	}
	return problems
}

// openMusic opens the soundtrack; it can be opened any number of times.
func (l *loaded) openMusic() (*playback.Soundtrack, error) {
	f, err := l.openFile()
	if err != nil {
		return nil, err
	}
	return playback.Open(l.show.Soundtrack.File, f)
}

// openFile opens the soundtrack's file.
func (l *loaded) openFile() (io.ReadSeekCloser, error) {
	return l.openNamed(l.show.Soundtrack.File)
}

// openNamed opens a sound file of the show folder.
func (l *loaded) openNamed(name string) (io.ReadSeekCloser, error) {
	f, err := l.fsys.Open(name)
	if err != nil {
		return nil, &playback.OpenError{Name: name, Found: "cannot be opened: " + disk.Plain(err).Error(), Want: "wanted an MP3, WAV, FLAC or Ogg Vorbis file in the show folder", Err: err}
	}
	r, ok := f.(io.ReadSeekCloser)
	if !ok {
		f.Close()
		return nil, &playback.OpenError{Name: name, Found: "is not a file"}
	}
	return r, nil
}

// hashMusic hashes the soundtrack file and holds it against the hash in
// show.toml.
func (l *loaded) hashMusic() error {
	name := l.show.Soundtrack.File
	f, err := l.fsys.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	if l.sha, err = playback.HashFile(context.Background(), f, nil); err != nil {
		return err
	}
	if want := l.show.Soundtrack.SHA256; want != "" && want != l.sha {
		return fmt.Errorf("%s: found another file than the one show.toml was written for (SHA-256 %.12s...); wanted %.12s...: put the right file there, or change soundtrack.sha256",
			name, l.sha, want)
	}
	return nil
}
