package disk

import (
	"fmt"
	"io"
)

// WriteWhole writes a file that gets its name only when it is whole. A file
// that is there already stays as it is if the writing fails.
func WriteWhole(path string, write func(io.Writer) error) error {
	f, err := NewPending(path)
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, Plain(err))
	}
	if err := write(f); err != nil {
		f.Cleanup()
		return fmt.Errorf("%s cannot be written: %w", path, Plain(err))
	}
	if err := f.CloseAtomicallyReplace(); err != nil {
		f.Cleanup()
		return fmt.Errorf("%s cannot be written: %w", path, Plain(err))
	}
	return nil
}

// Pending is a file that has no name yet.
type Pending interface {
	io.WriteSeeker
	Name() string
	CloseAtomicallyReplace() error
	Cleanup() error
}
