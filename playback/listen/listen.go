// Package listen works out what is wanted of a sound file in one pass over all of it,
// or takes it from the cache, where an earlier pass has left it.
package listen

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"drylane/playback"
	"drylane/playback/cache"
	"drylane/show/timebase"
)

// A File is a sound file to listen to.
type File struct {
	Name   string // for messages
	Open   playback.Opener
	SHA256 string // of its bytes, in hex; empty where it has not been taken
	// Changed is an error once the file is not what SHA256 was taken of: then nothing
	// is kept. It is nil where SHA256 is empty, or where nothing can change.
	Changed func() error
}

// errChanged is the error of a file that was written to between two looks at it.
var errChanged = errors.New("the file changed while it was read")

// A Wish is something that is worked out from all frames of a sound file. It is used
// once, by one goroutine.
type Wish interface {
	// Key names what is wished for, and the version of what works it out.
	Key() (what string, version int)
	// Restore takes what Done returned another time. Anything else is an error.
	Restore(b []byte) error
	// Begin says what the file is.
	Begin(i playback.Info) error
	// Take is given the frames in order. They may not be kept.
	Take(start timebase.Frame, frames [][2]float64) error
	// Done ends the listening, with all that is then known of the file, and returns
	// what is to be kept, nil for nothing.
	Done(i playback.Info) ([]byte, error)
	// Drop gives back what Begin took, whether Done was called or not.
	Drop()
}

// A Tell is told what is being done and how much of it is over, 0 to 1.
type Tell = func(what string, part float64)

// To grants the wishes, which come in order: one may be made of those before it. All
// that are not in the cache are granted in one pass, and then kept.
//
// The error is that of the file or of ctx, or a wish's.
func To(ctx context.Context, f File, tell Tell, wishes ...Wish) error {
	if err := f.identify(ctx, tell); err != nil {
		return err
	}
	var open []Wish
	for _, w := range wishes {
		if !f.kept(w) {
			open = append(open, w)
		}
	}
	if len(open) == 0 {
		return nil
	}
	defer func() {
		for _, w := range open {
			w.Drop()
		}
	}()
	info, err := f.pass(ctx, tell, open)
	if err != nil {
		return err
	}
	for _, w := range open {
		b, err := w.Done(info)
		if err != nil {
			return err
		}
		what, version := w.Key()
		f.keep(what, version, b)
	}
	return nil
}

// Kept grants a wish from the cache, and reports whether it could.
func Kept(sha256 string, w Wish) bool { return File{SHA256: sha256}.kept(w) }

func (f File) kept(w Wish) bool {
	what, version := w.Key()
	b := f.get(what, version)
	return b != nil && w.Restore(b) == nil
}

// get returns what was kept of the file, nil for nothing.
func (f File) get(what string, version int) []byte {
	if f.SHA256 == "" {
		return nil
	}
	return cache.InUse().Get(cache.Key{Content: f.SHA256, What: what, Version: version})
}

// keep keeps b, unless it may be of another file by now.
func (f File) keep(what string, version int, b []byte) {
	if b == nil || f.SHA256 == "" || f.changed() != nil {
		return
	}
	cache.InUse().Put(cache.Key{Content: f.SHA256, What: what, Version: version}, b)
}

func (f File) changed() error {
	if f.Changed == nil {
		return nil
	}
	return f.Changed()
}

// identify takes the hash of the file, if there is anything to find by it. What
// cannot be hashed has none: whoever opens it as music says what is wrong.
func (f *File) identify(ctx context.Context, tell Tell) error {
	if f.SHA256 != "" || cache.InUse() == nil {
		return nil
	}
	changed := Watch(f.stat)
	var err error
	f.SHA256, err = HashFile(ctx, *f, tell)
	if ctx.Err() != nil {
		return Stopped(err, f.Name)
	}
	f.Changed = changed
	return nil
}

// stat opens the file and asks what it is.
func (f File) stat() (fs.FileInfo, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	s, ok := r.(interface{ Stat() (fs.FileInfo, error) })
	if !ok {
		return nil, errors.ErrUnsupported
	}
	return s.Stat()
}

// Watch asks what a file is now, and returns for File.Changed what asks again: it goes
// by the file's identity, size and time. What cannot be asked counts as changed.
func Watch(stat func() (fs.FileInfo, error)) func() error {
	was, err := stat()
	return func() error {
		if err != nil {
			return err
		}
		now, err := stat()
		if err == nil && (!os.SameFile(was, now) || was.Size() != now.Size() || !was.ModTime().Equal(now.ModTime())) {
			err = errChanged
		}
		return err
	}
}

// HashFile is the SHA-256 of the file's bytes, in hex.
func HashFile(ctx context.Context, f File, tell Tell) (string, error) {
	r, err := f.Open()
	if err != nil {
		return "", err
	}
	defer r.Close()
	size, err := r.Seek(0, io.SeekEnd)
	if err == nil {
		_, err = r.Seek(0, io.SeekStart)
	}
	if err != nil {
		return "", fmt.Errorf("%s cannot be read: %w", f.Name, err)
	}
	what := "reading " + filepath.Base(f.Name)
	return playback.HashFile(ctx, r, func(done int64) { tell(what, float64(done)/float64(max(1, size))) })
}

// open opens the file as music.
func (f File) open() (*playback.Soundtrack, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	return playback.Open(f.Name, r)
}

// pass decodes the file once for all wishes.
func (f File) pass(ctx context.Context, tell Tell, wishes []Wish) (playback.Info, error) {
	s, err := f.open()
	if err != nil {
		return playback.Info{}, err
	}
	defer s.Close()
	for _, w := range wishes {
		if err := w.Begin(s.Info()); err != nil {
			return playback.Info{}, err
		}
	}
	what, total := "listening to "+filepath.Base(f.Name), float64(max(1, s.Len()))
	err = s.Pass(ctx, f.Open, func(start timebase.Frame, frames [][2]float64) error {
		for _, w := range wishes {
			if err := w.Take(start, frames); err != nil {
				return err
			}
		}
		tell(what, float64(start)/total)
		return nil
	})
	return s.Info(), Stopped(err, f.Name)
}

// Stopped puts it in words if listening to a file was stopped by the user.
func Stopped(err error, name string) error {
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("stopped before %s was heard to its end", filepath.Base(name))
	}
	return err
}
