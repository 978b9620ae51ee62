// Package plainfile opens what can be read to an end: files and folders. A pipe or a
// device by the name of a file would be waited for without end.
package plainfile

import (
	"errors"
	"io/fs"
	"os"
)

// ErrOther is the error of what is neither a file nor a folder.
var ErrOther = errors.New("it is no ordinary file")

// Open opens a file or a folder for reading. Anything else is refused with
// ErrOther, and opening never waits: what is by that name is asked before, since
// opening a device may do something, and again when it is open, since it may be
// another by then.
func Open(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err == nil && !Is(info) {
		return nil, &fs.PathError{Op: "open", Path: path, Err: ErrOther}
	}
	return open(os.OpenFile, path)
}

// OpenIn is Open within root.
func OpenIn(root *os.Root, name string) (*os.File, error) {
	info, err := root.Stat(name)
	if err == nil && !Is(info) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: ErrOther}
	}
	return open(root.OpenFile, name)
}

// Is reports whether info is that of a file or a folder.
func Is(info fs.FileInfo) bool { return info.Mode().IsRegular() || info.IsDir() }

// open opens without waiting and then asks what was opened.
func open(how func(name string, flag int, perm fs.FileMode) (*os.File, error), name string) (*os.File, error) {
	f, err := how(name, os.O_RDONLY|noWait, 0)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && !Is(info) {
		err = &fs.PathError{Op: "open", Path: name, Err: ErrOther}
	}
	if err == nil {
		err = mayWait(f)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}
