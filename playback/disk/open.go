// Package disk opens and writes files as every part of drylane does: what is wrong
// with one is said in a line, and a file gets its name only when it is whole.
package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"drylane/show"
)

// OpenText opens the file of a session, a script and the like; what says which.
// A pipe is taken too, and waited for: whoever names one means it.
func OpenText(path, what string) (*os.File, error) {
	if info, err := os.Stat(path); err != nil || info.Mode().Type() != fs.ModeNamedPipe {
		return OpenFound(path, what)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: the %s cannot be read: %w", show.Clean(path), what, Plain(err))
	}
	return noFolder(f, path, what)
}

// Plain strips the operation and the paths from a file error.
func Plain(err error) error {
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.As(err, &p):
		return p.Err
	case errors.As(err, &l):
		return l.Err
	}
	return err
}
