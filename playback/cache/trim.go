package cache

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// tempPrefix begins the names of entries that are being written.
const tempPrefix = "new-"

// abandoned is the age at which an entry that is still being written never will be.
const abandoned = time.Hour

// Usage is how much a store holds.
type Usage struct {
	Entries int
	Bytes   int64
}

// Usage counts what there is, entries that are being written left out. A folder that
// is not there holds nothing.
func (s *Store) Usage() (Usage, error) {
	list, err := s.list()
	var u Usage
	for _, e := range list {
		if !e.temp() {
			u.Entries++
			u.Bytes += e.size
		}
	}
	return u, err
}

// Clear removes every entry, and returns what it has removed.
func (s *Store) Clear() (Usage, error) {
	list, err := s.list()
	var u Usage
	for _, e := range list {
		if e := os.Remove(e.path); e != nil && !errors.Is(e, fs.ErrNotExist) {
			err = errors.Join(err, e)
			continue
		}
		u.Entries++
		u.Bytes += e.size
	}
	return u, err
}

// trim removes what was not used for longest, until no more is there than may be, and
// what a process has left that ended while it wrote.
func (s *Store) trim() {
	list, _ := s.list()
	var total int64
	for _, e := range list {
		total += e.size
	}
	slices.SortFunc(list, func(a, b file) int { return a.used.Compare(b.used) })
	for _, e := range list {
		if left := e.temp() && time.Since(e.used) > abandoned; left || !e.temp() && total > s.most {
			os.Remove(e.path) // another process may have been faster
			total -= e.size
		}
	}
}

// A file is what lies in the folder of a store.
type file struct {
	path string
	size int64
	used time.Time
}

func (f file) temp() bool { return strings.HasPrefix(filepath.Base(f.path), tempPrefix) }

// list lists the plain files of the store.
func (s *Store) list() ([]file, error) {
	if s == nil {
		return nil, nil
	}
	dir, err := os.ReadDir(s.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var out []file
	for _, d := range dir {
		if info, err := d.Info(); err == nil && info.Mode().IsRegular() {
			out = append(out, file{filepath.Join(s.dir, d.Name()), info.Size(), info.ModTime()})
		}
	}
	return out, err
}
