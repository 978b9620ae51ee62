package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/check"
	"drylane/show/lock"
)

type lockCmd struct {
	Dir  string   `arg:"" help:"The show folder, or a folder of shows." placeholder:"DIR"`
	More []string `arg:"" optional:"" help:"More of them: the shows of one night." placeholder:"DIR"`
}

func (lockCmd) Help() string {
	return "Writes show.lock into the folder: hashes of the show, of every cue, of the soundtrack and of the companion files, as they were rehearsed. \"drylane check\" then says what has changed since, and the console whether the show is as locked.\n\n" +
		nightHelp + " All are locked, or none if one cannot be; exit code 1 when they need the same pins.\n\nExamples:\n\n  drylane lock shows/harbour\n  drylane lock shows"
}

func (c lockCmd) Run(e *env) error {
	folders, err := showFolders(append([]string{c.Dir}, c.More...)...)
	if err != nil {
		return err
	}
	if len(folders) > 1 {
		return lockNight(e, folders)
	}
	l, err := openFolder(folders[0])
	if err != nil {
		return err
	}
	defer l.music.Close()
	return lockShow(e, l, folders[0])
}

// lockShow writes the lock of an opened show into its folder.
func lockShow(e *env, l *loaded, dir string) error {
	all := &locker{
		ctx: e.ctx, fsys: l.fsys,
		known: func(string) string { return "" }, listen: func(lock.Entry) bool { return true },
	}
	now, err := all.now(l.show)
	if err != nil {
		return err
	}
	now.Locked = time.Now().UTC().Truncate(time.Second)
	if err := disk.WriteWhole(filepath.Join(dir, lock.File), now.Write); err != nil {
		return err
	}
	for _, f := range now.Files {
		if f.SHA256 == "" {
			fmt.Fprintf(e.errOut, "warn: %s is not there and was locked as missing\n", show.Clean(f.File))
		}
	}
	_, err = fmt.Fprintf(e.out, "%s: locked, %d cues and %d files, %s\n", l.show.Title, len(now.Cues), len(now.Files), now.Locked.Format("2006-01-02 15:04 MST"))
	return err
}

// showFile is the name of the file that says what a show folder holds.
const showFile = "show.toml"

// A locker looks at the files of a folder for a lock.
type locker struct {
	ctx  context.Context
	fsys fs.FS
	// known returns the hash of a file that need not be read; "" for others.
	known func(name string) string
	// listen says whether the hash of a file's sound is wanted.
	listen func(e lock.Entry) bool
}

// now describes a show as it is.
func (l *locker) now(s *show.Show) (*lock.Lock, error) {
	list := []lock.Entry{{File: showFile, Role: lock.RoleShow}, {File: s.CuesFile, Role: lock.RoleCues}, {File: s.Soundtrack.File, Role: lock.RoleSoundtrack}}
	for _, name := range companions(s) {
		list = append(list, lock.Entry{File: name, Role: lock.RoleCompanion})
	}
	var files []lock.Entry
	for _, e := range list {
		if e.File == "" {
			continue
		}
		if err := l.fill(&e); err != nil {
			return nil, err
		}
		files = append(files, e)
	}
	return lock.New(s, files, time.Time{}), nil
}

// fill completes what a lock says of a file; a file that is not there has no
// hash.
func (l *locker) fill(e *lock.Entry) error {
	info, err := fs.Stat(l.fsys, e.File)
	if err != nil || !info.Mode().IsRegular() {
		return nil
	}
	e.Size = info.Size()
	if e.SHA256 = l.known(e.File); e.SHA256 == "" {
		if e.SHA256, err = hashIn(l.ctx, l.fsys, e.File); err != nil {
			return fmt.Errorf("%s cannot be read: %w", show.Clean(e.File), disk.Plain(err))
		}
	}
	isSound := e.Role == lock.RoleSoundtrack || e.Role == lock.RoleCompanion
	if !isSound || !l.listen(*e) {
		return nil
	}
	s, err := openSound(l.fsys, e.File)
	if err != nil {
		return nil // check says what is wrong with it
	}
	defer s.Close()
	if e.Audio, err = playback.HashAudio(l.ctx, s, nil); err != nil {
		e.Audio = ""
	}
	return l.ctx.Err()
}

// readLock reads a folder's lock; nil when it has none.
func readLock(fsys fs.FS) (*lock.Lock, error) {
	f, err := fsys.Open(lock.File)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, disk.Plain(err)
	}
	defer f.Close()
	return lock.Read(f)
}

// lockFacts holds the folder against its lock. quick looks at a file only when
// it has to.
func lockFacts(ctx context.Context, fsys fs.FS, s *show.Show, quick func(old *lock.Lock) func(name string) string) check.Lock {
	old, err := readLock(fsys)
	if err != nil {
		return check.Lock{Known: true, Open: err.Error()}
	}
	facts := check.Lock{Known: true, Lock: old}
	if old == nil {
		return facts
	}
	l := &locker{
		ctx: ctx, fsys: fsys,
		known: func(string) string { return "" },
		// Only where a file has changed does its sound say anything more.
		listen: func(e lock.Entry) bool { was := old.Entry(e.File); return was.Audio != "" && was.SHA256 != e.SHA256 },
	}
	if quick != nil {
		l.known, l.listen = quick(old), func(lock.Entry) bool { return false }
	}
	now, err := l.now(s)
	if err != nil {
		facts.Open = err.Error()
		return facts
	}
	facts.Changes = old.Compare(now)
	return facts
}

// lockFacts is quick: soundtrack and cue list have been hashed already, and a
// companion of the size that was locked is taken for the one that was.
func (l *loaded) lockFacts() check.Lock {
	return lockFacts(context.Background(), l.fsys, l.show, func(old *lock.Lock) func(string) string {
		return func(name string) string {
			switch name {
			case l.show.Soundtrack.File:
				return l.sha
			case l.show.CuesFile:
				return l.show.CuesSHA256
			case showFile:
				return ""
			}
			was := old.Entry(name)
			if info, err := fs.Stat(l.fsys, name); err == nil && info.Size() == was.Size {
				return was.SHA256
			}
			return ""
		}
	})
}

// lockState says in a few words how an opened show stands to its lock: as
// locked, changed, or not locked.
func lockState(l *loaded) string {
	switch f := l.lockFacts(); {
	case f.Open != "":
		return "its lock cannot be read: " + f.Open
	case f.Lock == nil:
		return "not locked"
	default:
		return f.Lock.State(f.Changes)
	}
}
