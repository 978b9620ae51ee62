package disk

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"drylane/playback/internal/plainfile"
	"drylane/show"
)

// Open opens a file or a folder for reading, and nothing else: it never waits for
// a pipe or a device by the name of a file.
func Open(path string) (*os.File, error) { return plainfile.Open(path) }

// OpenIn is Open within root.
func OpenIn(root *os.Root, name string) (*os.File, error) { return plainfile.OpenIn(root, name) }

// OpenFound is OpenText for a file that was met in a folder, where nobody named it:
// a pipe is refused like a device.
func OpenFound(path, what string) (*os.File, error) {
	f, err := plainfile.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: the %s cannot be read: %w", show.Clean(path), what, Plain(err))
	}
	return noFolder(f, path, what)
}

// noFolder closes and refuses what is a folder.
func noFolder(f *os.File, path, what string) (*os.File, error) {
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, fmt.Errorf("%s: found a folder; wanted the file of a %s", show.Clean(path), what)
	}
	return f, nil
}

// Files are the plain files that match a pattern of package filepath, by name.
// What else there is is passed over, unopened.
func Files(pattern string) []string {
	paths, _ := filepath.Glob(pattern) // it fails for a wrong pattern alone
	return slices.DeleteFunc(paths, func(path string) bool {
		info, err := os.Stat(path)
		return err == nil && !info.Mode().IsRegular()
	})
}
