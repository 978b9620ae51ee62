package inspect

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/check"
	"drylane/show/lock"
)

// Pin writes the lock of an opened show into its folder: every file is hashed.
func Pin(ctx context.Context, l *folder.Folder, now time.Time) (*lock.Lock, error) {
	all := &locker{
		ctx: ctx, files: l.Files,
		known: func(string) string { return "" }, listen: func(lock.Entry) bool { return true },
	}
	pinned, err := all.now(l.Show)
	if err != nil {
		return nil, err
	}
	pinned.Locked = now.UTC().Truncate(time.Second)
	// A lock takes the place of the one before: that is what locking anew means.
	w := &disk.Writer{Replace: true, Context: ctx}
	folder.KeepSources(w, l.Path, l.Show)
	to, err := w.Take("the lock", filepath.Join(l.Path, lock.File))
	if err != nil {
		return nil, err
	}
	return pinned, to.Write(pinned.Write)
}

// A locker looks at the files of a folder for a lock.
type locker struct {
	ctx   context.Context
	files fs.FS
	// known returns the hash of a file that need not be read; "" for others.
	known func(name string) string
	// listen says whether the hash of a file's sound is wanted.
	listen func(e lock.Entry) bool
}

// now describes a show as it is.
func (l *locker) now(s *show.Show) (*lock.Lock, error) {
	list := []lock.Entry{{File: folder.ShowFile, Role: lock.RoleShow}, {File: s.CuesFile, Role: lock.RoleCues}, {File: s.Soundtrack.File, Role: lock.RoleSoundtrack}}
	for _, name := range folder.Companions(s) {
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
	info, err := fs.Stat(l.files, e.File)
	if err != nil || !info.Mode().IsRegular() {
		return nil
	}
	e.Size = info.Size()
	if e.SHA256 = l.known(e.File); e.SHA256 == "" {
		if e.SHA256, err = folder.Hash(l.ctx, l.files, e.File); err != nil {
			return fmt.Errorf("%s cannot be read: %w", show.Clean(e.File), disk.Plain(err))
		}
	}
	isSound := e.Role == lock.RoleSoundtrack || e.Role == lock.RoleCompanion
	if !isSound || !l.listen(*e) {
		return nil
	}
	s, err := folder.Sound(l.files, e.File)
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
func readLock(files fs.FS) (*lock.Lock, error) {
	f, err := files.Open(lock.File)
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
func lockFacts(ctx context.Context, files fs.FS, s *show.Show, quick func(old *lock.Lock) func(name string) string) check.Lock {
	old, err := readLock(files)
	if err != nil {
		return check.Lock{Known: true, Open: err.Error()}
	}
	facts := check.Lock{Known: true, Lock: old}
	if old == nil {
		return facts
	}
	l := &locker{
		ctx: ctx, files: files,
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

// Lock holds an opened show against its lock. It is quick: soundtrack and cue list
// have been hashed already, and a companion of the size that was locked is taken
// for the one that was.
func Lock(l *folder.Folder) check.Lock {
	return lockFacts(context.Background(), l.Files, l.Show, func(old *lock.Lock) func(string) string {
		return func(name string) string {
			switch name {
			case l.Show.Soundtrack.File:
				return l.SHA256
			case l.Show.CuesFile:
				return l.Show.CuesSHA256
			case folder.ShowFile:
				return ""
			}
			was := old.Entry(name)
			if info, err := fs.Stat(l.Files, name); err == nil && info.Size() == was.Size {
				return was.SHA256
			}
			return ""
		}
	})
}

// LockState says in a few words how an opened show stands to its lock: as
// locked, changed, or not locked.
func LockState(l *folder.Folder) string {
	switch f := Lock(l); {
	case f.Open != "":
		return "its lock cannot be read: " + f.Open
	case f.Lock == nil:
		return "not locked"
	default:
		return f.Lock.State(f.Changes)
	}
}
