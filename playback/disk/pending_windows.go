package disk

import (
	"os"
	"path/filepath"
)

// A pendingFile is a file that gets its name only when it is whole. The
// library used elsewhere does not know Windows.
type pendingFile struct {
	*os.File
	path string
	done bool
}

func newPending(path string) (pending, error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".drylane-*")
	return &pendingFile{f, path, false}, err
}

func (f *pendingFile) CloseAtomicallyReplace() error {
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), f.path); err != nil {
		return err
	}
	f.done = true
	return nil
}

// Cleanup removes the file unless it has got its name.
func (f *pendingFile) Cleanup() error {
	if f.done {
		return nil
	}
	f.Close() // it may be closed already
	return os.Remove(f.Name())
}
