package disk

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"drylane/show"
)

// A Writer writes the files of one command at paths that a person gave. What
// exists is replaced only if Replace is set. What the command reads, or writes
// elsewhere, is never replaced, by whatever name it is asked for: a file is known
// by what it is. Only plain files are replaced; a link gives way itself, and what
// it leads to stays as it is.
//
// The zero Writer is ready to use, by one goroutine.
type Writer struct {
	Replace bool
	Context context.Context // once it ends no file gets its name; nil for never
	// Wrote is called with the path of every file that has got its name, as it may be
	// shown; nil for nobody who wants to know.
	Wrote func(path string)

	known []known
}

// A known file is one that the command reads, or writes elsewhere.
type known struct {
	what, path string
	of         *Target // nil for one that is not written by the Writer
}

// Keep protects files that the command reads, or writes by itself. what says what
// they are, such as "the cue list". They need not be there; an empty path is none.
func (w *Writer) Keep(what string, paths ...string) {
	for _, p := range paths {
		if p != "" {
			w.known = append(w.known, known{what: what, path: p})
		}
	}
}

// Take takes path for a file that is to be written, before the work for it is
// done. flag is where the path is from, such as "--html". An empty path gives a
// nil Target. The error says what keeps the file from being written there.
func (w *Writer) Take(flag, path string) (*Target, error) {
	if path == "" {
		return nil, nil
	}
	t := &Target{w, path}
	if err := t.check(); err != nil {
		return nil, err
	}
	w.known = append(w.known, known{"the file of " + flag, path, t})
	return t, nil
}

// A Target is a path that was taken. The nil Target is that of an empty path.
type Target struct {
	w    *Writer
	path string
}

// Name is the path as it may be shown.
func (t *Target) Name() string { return show.Clean(t.path) }

// check says what keeps a file from being written to the target, as things stand.
func (t *Target) check() error {
	for _, k := range t.w.known {
		if k.of != t && same(k.path, t.path) {
			return fmt.Errorf("%s: found %s there; wanted another place", t.Name(), k.what)
		}
	}
	info, err := os.Lstat(t.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return t.Cannot(err)
	}
	if behind, err := os.Stat(t.path); err == nil { // a link is what it leads to
		info = behind
	}
	switch m := info.Mode(); {
	case m.IsDir():
		return fmt.Errorf("%s: found a folder there; wanted the name of a file", t.Name())
	case !m.IsRegular() && m&fs.ModeSymlink == 0:
		return fmt.Errorf("%s: found a device or a pipe there; wanted the name of a plain file", t.Name())
	case !t.w.Replace:
		return t.taken()
	}
	return nil
}

func (t *Target) taken() error {
	return fmt.Errorf("%s: found a file there already; wanted a new name, or --replace", t.Name())
}

// Cannot puts into words that the file cannot be written, and why.
func (t *Target) Cannot(err error) error {
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("stopped: %s was not written", t.Name())
	}
	return fmt.Errorf("%s cannot be written: %w", t.Name(), Plain(err))
}

// same reports whether two paths lead to one file, or would: one that is not
// there yet is known by its folder and its name.
func same(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	if errX != nil && errY != nil && filepath.Base(a) == filepath.Base(b) {
		x, errX = os.Stat(filepath.Dir(a))
		y, errY = os.Stat(filepath.Dir(b))
	}
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// Write writes the whole file, or leaves everything as it was. On a nil Target it
// does nothing.
func (t *Target) Write(write func(io.Writer) error) error {
	if t == nil {
		return nil
	}
	f, err := t.Open()
	if err != nil {
		return err
	}
	defer f.Discard()
	if err := write(f); err != nil {
		return t.Cannot(err)
	}
	return f.Finish()
}

// Open opens the file to be written, which has no name yet.
func (t *Target) Open() (*File, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	f, err := newPending(t.path)
	if err != nil {
		return nil, t.Cannot(err)
	}
	return &File{f, t, false}, nil
}
