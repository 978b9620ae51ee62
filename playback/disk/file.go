package disk

import (
	"errors"
	"io"
	"io/fs"
	"os"
)

// A File is being written beside the place that it is to have. Finish gives it
// its name, Discard removes it.
type File struct {
	pending
	of    *Target
	ended bool
}

// pending is a file that has no name yet.
type pending interface {
	io.WriteSeeker
	Name() string // of the file as it is now, to read it back
	Sync() error
	CloseAtomicallyReplace() error
	Cleanup() error
}

// Finish puts the file on disk and gives it its name. If that fails the file is
// removed and whatever was there is as it was.
func (f *File) Finish() error {
	if f.ended {
		return nil
	}
	defer f.Discard()
	if ctx := f.of.w.Context; ctx != nil && ctx.Err() != nil {
		return f.of.Cannot(ctx.Err())
	}
	if err := f.of.check(); err != nil { // things may have changed since it was opened
		return err
	}
	publish := f.publishNew
	if f.of.w.Replace {
		publish = f.CloseAtomicallyReplace
	}
	err := publish()
	switch {
	case errors.Is(err, fs.ErrExist):
		return f.of.taken()
	case err != nil:
		return f.of.Cannot(err)
	}
	if f.of.w.Wrote != nil {
		f.of.w.Wrote(f.of.Name())
	}
	return nil
}

// publishNew gives the file its name unless one has come to be there.
func (f *File) publishNew() error {
	if err := f.Sync(); err != nil {
		return err
	}
	err := os.Link(f.Name(), f.of.path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	return f.CloseAtomicallyReplace() // a disk without links, such as a memory stick
}

// Discard removes the file unless it is finished. It may be called more than once,
// and on nil.
func (f *File) Discard() {
	if f != nil && !f.ended {
		f.ended = true
		f.Cleanup() // of one that was renamed: nothing is left to do
	}
}
