package sessions

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"

	"drylane/playback/disk"
	"drylane/show"
)

// A Log is the file of a session that is being written. Where the file is deleted
// under it, or its folder, or the stick that it lies on is pulled out, the whole
// session goes on in a new file in the user's data folder.
//
// A write or a sync may wait for the disk; Name, MovedTo and Lost never do.
type Log struct {
	path string
	lost atomic.Pointer[LostError]

	mu   sync.Mutex // of what follows
	file file
	info os.FileInfo
	text []byte // all that was written
}

// A file is what a log writes into: an *os.File, but in tests.
type file interface {
	io.WriteCloser
	Sync() error
}

// A LostError tells that a session log vanished while it was written, and where
// the session is.
type LostError struct{ From, To string }

func (e *LostError) Error() string {
	return fmt.Sprintf("%s: the session log was deleted or moved during the run; the whole session is in %s", show.Clean(e.From), show.Clean(e.To))
}

// create creates the file of a log. One that is there already is an error.
func create(path string) (*os.File, os.FileInfo, error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, nil, err
	}
	info, err := f.Stat()
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, info, nil
}

// Name is the path of the file as it is now.
func (l *Log) Name() string {
	return cmp.Or(l.MovedTo(), l.path)
}

// MovedTo is where the session goes on once the file has vanished, and empty
// before.
func (l *Log) MovedTo() string {
	if lost := l.lost.Load(); lost != nil {
		return lost.To
	}
	return ""
}

// Lost is a *LostError once the file has vanished and the session gone on
// elsewhere, and nil otherwise.
func (l *Log) Lost() error {
	if lost := l.lost.Load(); lost != nil {
		return lost
	}
	return nil
}

// Write implements io.Writer.
func (l *Log) Write(p []byte) (n int, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	n, err = l.file.Write(p)
	l.text = append(l.text, p[:n]...)
	if err == nil || l.there() {
		return n, err
	}
	if err := l.move(); err != nil {
		return n, err
	}
	more, err := l.file.Write(p[n:])
	l.text = append(l.text, p[n:n+more]...)
	return n + more, err
}

// Sync puts what was written on disk, in the file that Name names. What is to be
// written meanwhile does not wait for it.
func (l *Log) Sync() error {
	l.mu.Lock()
	f := l.file
	l.mu.Unlock()
	err := f.Sync()
	l.mu.Lock()
	defer l.mu.Unlock()
	if err != nil && l.file == f && l.there() { // else it is the error of a file left behind
		return err
	}
	return l.settle()
}

// Close closes the file, which is there once more if it had vanished.
func (l *Log) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return errors.Join(l.settle(), l.file.Close())
}

// settle moves a log whose file has vanished.
func (l *Log) settle() error {
	if l.there() {
		return nil
	}
	return l.move()
}

// there reports whether the name still leads to the file that is written.
func (l *Log) there() bool {
	info, err := os.Stat(l.Name())
	return err == nil && os.SameFile(info, l.info)
}

// move goes on in a new file in the user's data folder.
func (l *Log) move() error {
	from := l.Name()
	cannot := func(err error) error {
		return fmt.Errorf("%s was deleted or moved, and the session cannot go on in %s: %w", show.Clean(from), Dir(), disk.Plain(err))
	}
	f, info, err := elsewhere(filepath.Base(from))
	if err != nil {
		return cannot(err)
	}
	_, err = f.Write(l.text)
	if err = errors.Join(err, f.Sync()); err != nil {
		f.Close()
		os.Remove(f.Name())
		return cannot(err)
	}
	l.file.Close() // it is of no use: whatever it says does not matter
	l.file, l.info = f, info
	l.lost.Store(&LostError{From: l.path, To: f.Name()})
	return nil
}

// elsewhere creates a file in the user's data folder under that name, or one like
// it that is free.
func elsewhere(name string) (*os.File, os.FileInfo, error) {
	dir, err := made()
	if err != nil {
		return nil, nil, err
	}
	stem := strings.TrimSuffix(name, extension)
	for i := 1; ; i++ {
		f, info, err := create(filepath.Join(dir, name))
		if i == 100 || !errors.Is(err, fs.ErrExist) {
			return f, info, err
		}
		name = fmt.Sprintf("%s-%d%s", stem, i+1, extension)
	}
}
