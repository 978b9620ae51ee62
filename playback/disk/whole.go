package disk

import (
	"fmt"
	"io"
)

// WriteWhole writes a file of drylane's own, whose place no person chose, in place
// of the one that was there. That one stays as it is if the writing fails.
func WriteWhole(path string, write func(io.Writer) error) error {
	cannot := func(err error) error { return fmt.Errorf("%s cannot be written: %w", path, Plain(err)) }
	f, err := newPending(path)
	if err != nil {
		return cannot(err)
	}
	if err := write(f); err != nil {
		f.Cleanup()
		return cannot(err)
	}
	if err := f.CloseAtomicallyReplace(); err != nil {
		f.Cleanup()
		return cannot(err)
	}
	return nil
}
