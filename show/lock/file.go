package lock

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"time"

	"drylane/show"
)

// maxFile bounds a lock: a show of the most cues a list may hold, with long
// names, stays below.
const maxFile = 16 << 20

// A file is a lock with the sum of it.
type file struct {
	Lock
	Sum string `json:"sum,omitempty"` // SHA-256 of the lock as it is written without it
}

// Write writes the lock and seals it. The same lock is always the same text, one
// cue a line.
func (l *Lock) Write(w io.Writer) error {
	f := file{Lock: *l}
	f.Schema = schema
	f.Sum = f.Lock.sum()
	return encode(w, f)
}

func encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// ErrForm is that of every lock that does not read as one.
var ErrForm = errors.New("found no lock of a show; wanted one that drylane lock wrote")

// Read reads a lock and refuses one that is not whole. Texts of it are cleaned
// when they are worded, not here.
func Read(r io.Reader) (*Lock, error) {
	limited := &io.LimitedReader{R: r, N: maxFile + 1}
	d := json.NewDecoder(limited)
	d.DisallowUnknownFields()
	f := &file{}
	err := d.Decode(f)
	switch {
	case limited.N == 0:
		return nil, fmt.Errorf("%w, of at most %d MiB", ErrForm, maxFile>>20)
	case err != nil:
		return nil, fmt.Errorf("%w (%s)", ErrForm, show.Shorten(err.Error(), 120))
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, fmt.Errorf("%w (something follows it)", ErrForm)
	}
	if err := f.Lock.valid(); err != nil {
		return nil, fmt.Errorf("%w (%w)", ErrForm, err)
	}
	f.Seal = f.seal()
	return &f.Lock, nil
}

// valid says what is wrong with a lock that reads as JSON.
func (l *Lock) valid() error {
	if l.Schema != schema && l.Schema != unsealed {
		return fmt.Errorf("its schema is %.60q, wanted %q", l.Schema, schema)
	}
	if l.Locked.Year() < 2000 || l.Locked.Year() > 9999 || !l.Locked.Equal(l.Locked.Truncate(time.Second)) {
		return errors.New("it has no date")
	}
	seen := map[string]bool{}
	for _, e := range l.Files {
		switch {
		case !fs.ValidPath(e.File) || seen[e.File]:
			return fmt.Errorf("%.60q is no file of a show, or is there twice", e.File)
		case e.Size < 0 || !isHash(e.SHA256) || !isHash(e.Audio):
			return fmt.Errorf("what it says of %.60q is no size and hash", e.File)
		}
		seen[e.File] = true
	}
	for id, h := range l.Cues {
		if b, err := hex.DecodeString(h); err != nil || 2*len(b) != cueHashLen {
			return fmt.Errorf("what it says of cue %.60q is no hash", id)
		}
	}
	return nil
}

// isHash reports whether s is a SHA-256 in hex, or empty.
func isHash(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && (len(b) == 0 || len(b) == 32)
}
