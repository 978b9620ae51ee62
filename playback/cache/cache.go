// Package cache keeps what has been worked out from sound files, so that a file is
// listened to once. An entry belongs to the very bytes of a file, and to one version
// of what worked it out.
//
// Nothing here is needed: whatever is wrong with an entry, or with the folder, is as
// if nothing had been kept, and it is worked out again. Any number of processes may
// use one folder.
package cache

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"drylane/playback/internal/plainfile"
)

// A Key says of what an entry is.
type Key struct {
	// Content is the SHA-256 of the sound file's bytes, in hex. A file's name, size
	// and time would be had sooner, and are no proof: programs that change tags can
	// leave all of them as they were, and on a memory stick a time is good to 2 s.
	Content string
	What    string // lower-case letters, digits and -
	Version int    // of what worked it out
}

// A Store is a folder of entries. A nil Store keeps nothing.
type Store struct {
	dir  string
	most int64 // bytes
}

// New returns the store in the folder dir, which is made when something is kept. It
// holds that many bytes at most; what has gone unused for longest goes first.
func New(dir string, most int64) *Store { return &Store{dir, most} }

var inUse atomic.Pointer[Store]

// Use has this process keep what it works out in s; nil, as at first, is nowhere.
func Use(s *Store) { inUse.Store(s) }

// InUse is the Store that Use was given.
func InUse() *Store { return inUse.Load() }

// Dir is the folder of the entries.
func (s *Store) Dir() string { return s.dir }

// maxEntry bounds what is read of an entry, in bytes: the largest, a day's waveform,
// takes 8 MB.
const maxEntry = 32 << 20

// Get returns what was kept under k, nil for nothing.
func (s *Store) Get(k Key) []byte {
	if s == nil {
		return nil
	}
	path := s.path(k)
	f, err := plainfile.Open(path)
	if err != nil {
		return nil
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || info.Size() > maxEntry {
		return nil
	}
	b := make([]byte, info.Size())
	if _, err := io.ReadFull(f, b); err != nil {
		return nil
	}
	b = unseal(k, b)
	if b != nil {
		now := time.Now()
		os.Chtimes(path, now, now) // used: see trim
	}
	return b
}

// Put keeps b under k. A failure is nobody's concern: the next time takes as long.
//
// The entry is written beside its place and then renamed, so that no process sees a
// part of it. It is not synced: should the power fail before it is on disk, its seal
// is broken, and it is made again.
func (s *Store) Put(k Key, b []byte) {
	if s == nil || len(b) > maxEntry-maxHead || os.MkdirAll(s.dir, 0o700) != nil {
		return
	}
	f, err := os.CreateTemp(s.dir, tempPrefix)
	if err != nil {
		return
	}
	_, err = f.Write(seal(k, b))
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), s.path(k))
	}
	if err != nil {
		os.Remove(f.Name())
	}
	s.trim()
}

// path is where the entry of k lies.
func (s *Store) path(k Key) string {
	return filepath.Join(s.dir, fmt.Sprintf("%s-%s-%d", k.Content, k.What, k.Version))
}
