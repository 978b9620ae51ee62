package inspect

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/playback/listen"
	"drylane/show"
	"drylane/show/check"
	"drylane/show/lock"
)

// Pin writes the lock of an opened show into its folder: every file is hashed.
func Pin(ctx context.Context, l *folder.Folder, now time.Time) (*lock.Lock, error) {
	all := &locker{
		ctx: ctx, files: l.Files,
		known: func(lock.Entry) string { return "" }, listen: func(lock.Entry) bool { return true },
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
	known func(e lock.Entry) string
	// listen says whether the hash of a file's sound is wanted.
	listen func(e lock.Entry) bool
}

// now describes a show as it is.
func (l *locker) now(s *show.Show) (*lock.Lock, error) {
	list := []lock.Entry{{File: folder.ShowFile, Role: lock.RoleShow}, {File: s.CuesFile, Role: lock.RoleCues}, {File: s.Soundtrack.File, Role: lock.RoleSoundtrack}}
	for _, name := range folder.Companions(s) {
		list = append(list, lock.Entry{File: name, Role: lock.RoleCompanion})
	}
	for _, name := range s.Calls.Files() {
		list = append(list, lock.Entry{File: name, Role: lock.RoleCalls})
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

// fill completes what a lock says of a file, which is opened once for all of it; a
// file that is not there has no hash.
func (l *locker) fill(e *lock.Entry) error {
	f, err := folder.File(l.files, e.File)
	if err != nil {
		return nil
	}
	defer f.Close()
	changed := watch(l.files, e.File)
	if e.Size, err = f.Seek(0, io.SeekEnd); err != nil {
		return nil // a folder
	}
	if e.SHA256 = l.known(*e); e.SHA256 == "" {
		if e.SHA256, err = hashOf(l.ctx, f); err != nil {
			return fmt.Errorf("%s cannot be read: %w", show.Clean(e.File), disk.Plain(err))
		}
	}
	isSound := e.Role == lock.RoleSoundtrack || e.Role == lock.RoleCompanion
	if !isSound || !l.listen(*e) {
		return nil
	}
	again := func() (io.ReadSeekCloser, error) {
		_, err := f.Seek(0, io.SeekStart)
		return unclosed{f}, err
	}
	sound := listen.File{Name: e.File, Open: again, SHA256: e.SHA256, Changed: changed}
	if e.Audio, _, err = listen.HashAudio(l.ctx, sound, tellNobody); err != nil {
		e.Audio = "" // check says what is wrong with it
	}
	return l.ctx.Err()
}

// An unclosed file is closed by somebody else.
type unclosed struct{ io.ReadSeekCloser }

func (unclosed) Close() error { return nil }

// hashOf is the SHA-256 of a whole file.
func hashOf(ctx context.Context, f io.ReadSeeker) (string, error) {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return "", err
	}
	return playback.HashFile(ctx, f, nil)
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

// lockFacts holds the folder against its lock. The locker that known and listen
// make knows what need not be read.
func lockFacts(s *show.Show, l *locker, known func(was, is lock.Entry) string, listen func(was, is lock.Entry) bool) check.Lock {
	old, err := readLock(l.files)
	if err != nil {
		return check.Lock{Known: true, Open: err.Error()}
	}
	facts := check.Lock{Known: true, Lock: old}
	if old == nil {
		return facts
	}
	l.known = func(e lock.Entry) string { return known(old.Entry(e.File), e) }
	l.listen = func(e lock.Entry) bool { return listen(old.Entry(e.File), e) }
	now, err := l.now(s)
	if err != nil {
		facts.Open = err.Error()
		return facts
	}
	facts.Changes = old.Compare(now)
	return facts
}

// fullLock looks at every file.
func fullLock(ctx context.Context, files fs.FS, s *show.Show) check.Lock {
	return lockFacts(s, &locker{ctx: ctx, files: files}, func(was, is lock.Entry) string { return "" }, retagged)
}

// retagged says whether the sound of a file says more than its bytes: only where
// those have changed.
func retagged(was, is lock.Entry) bool { return was.Audio != "" && was.SHA256 != is.SHA256 }

// Lock holds an opened show against its lock, at once: soundtrack and cue list have
// been hashed already, and companions are not read.
func Lock(l *folder.Folder) check.Lock {
	var unread []string
	known := func(was, is lock.Entry) string {
		if is.Role != lock.RoleCompanion {
			return hashed(l, is.File)
		}
		if was.SHA256 != "" {
			unread = append(unread, is.File)
		}
		return cmp.Or(was.SHA256, "unread") // of a new one, any: it was not in the lock
	}
	facts := lockFacts(l.Show, &locker{ctx: context.Background(), files: l.Files}, known, func(was, is lock.Entry) bool { return false })
	facts.Unread = unread
	return facts
}

// hashed is the hash of a file that an opened show has taken already.
func hashed(l *folder.Folder, name string) string {
	switch name {
	case l.Show.Soundtrack.File:
		return l.SHA256
	case l.Show.CuesFile:
		return l.Show.CuesSHA256
	}
	return ""
}
