// Package sessions keeps the session logs in the user's data folder, and reads
// them back by path, by name or its beginning, or as the last one.
package sessions

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/session"

	"github.com/adrg/xdg"
)

// Dir is the folder of the session logs.
func Dir() string { return filepath.Join(xdg.DataHome, "drylane", "sessions") }

// extension ends the names of session logs.
const extension = ".jsonl"

// Names lists the session logs in dir, the oldest first: their names
// begin with the time. A folder that is not there has none.
func Names(dir string) ([]string, error) {
	list, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("%s: the folder cannot be read: %w", show.Clean(dir), disk.Plain(err))
	}
	var names []string
	for _, f := range list {
		if strings.HasSuffix(f.Name(), extension) && isFile(dir, f) {
			names = append(names, f.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

// isFile reports whether what was met in dir is a file, or leads to one. Nothing
// else is a log, and a pipe would be waited for.
func isFile(dir string, f fs.DirEntry) bool {
	if f.Type() != fs.ModeSymlink {
		return f.Type().IsRegular()
	}
	info, err := os.Stat(filepath.Join(dir, f.Name()))
	return err != nil || info.Mode().IsRegular()
}

// Find reads a session by any name that Path takes, and returns its path.
func Find(name string) (log *session.Log, path string, err error) {
	if path, err = Path(name); err != nil {
		return nil, "", err
	}
	open := disk.OpenFound
	if path == name { // it may be a pipe: the user has named it
		open = disk.OpenText
	}
	log, err = read(path, open)
	return log, path, err
}

// Read reads a session log that was met at path.
func Read(path string) (*session.Log, error) { return read(path, disk.OpenFound) }

func read(path string, open func(path, what string) (*os.File, error)) (*session.Log, error) {
	f, err := open(path, "session")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	log, err := session.Read(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", show.Clean(path), err)
	}
	return log, nil
}
