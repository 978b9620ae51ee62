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
}

func NewPending(path string) (*pendingFile, error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".drylane-*")
	return &pendingFile{f, path}, err
}

func (f *pendingFile) CloseAtomicallyReplace() error {
	if err := f.Sync(); err != nil {
		f.Cleanup()
		return err
	}
	if err := f.Close(); err != nil {
		os.Remove(f.Name())
		return err
	}
	return os.Rename(f.Name(), f.path)
}

func (f *pendingFile) Cleanup() error {
	f.Close()
	return os.Remove(f.Name())
}
