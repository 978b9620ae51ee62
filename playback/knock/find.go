package knock

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"drylane/playback/internal/plainfile"
)

// A Found is a drill that somebody may knock at.
type Found struct {
	Path string // of its notice
	Notice
	Err error // why its notice does not read
}

// Find returns the user's drills that run now, in the order of their process ids as
// text.
func Find() ([]Found, error) {
	dir, err := open()
	if err != nil {
		return nil, err
	}
	sweep(dir, time.Now())
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("the folder of the notices of drills cannot be read: %w", err)
	}
	var found []Found
	for _, f := range list {
		if pid, ok := pidOf(f.Name()); !ok || f.Name() != pid+noticeEnd {
			continue
		}
		d := Found{Path: filepath.Join(dir, f.Name())}
		if d.Notice, d.Err = in(d.Path, ReadNotice); !errors.Is(d.Err, fs.ErrNotExist) { // else it has just ended
			found = append(found, d)
		}
	}
	return found, nil
}

// Named returns the path of the notice that a person means by name: a path, or the process
// id of a drill.
func Named(name string) string {
	if strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, noticeEnd) {
		return name
	}
	return filepath.Join(folder(), name+noticeEnd)
}

// Knock asks the drill whose notice is at path to open its door, and returns what there is
// to join with.
func Knock(ctx context.Context, path string) ([]byte, error) {
	if _, err := in(path, ReadNotice); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: no drill runs there", path)
	} else if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	ctx, cancel := context.WithTimeout(ctx, answersIn)
	defer cancel()
	who := strings.TrimSuffix(path, noticeEnd) + "." + rand.Text()
	if err := write(who+knockEnd, nil); err != nil {
		return nil, fmt.Errorf("%s: cannot knock there: %w", path, err)
	}
	defer os.Remove(who + doorEnd)
	defer os.Remove(who + knockEnd)
	look := time.NewTicker(waitEvery)
	defer look.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil, fmt.Errorf("%s: the drill there does not answer", path)
		case <-look.C:
		}
		join, err := in(who+doorEnd, readAnswer)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return nil, fmt.Errorf("%s: %w", path, err)
		default:
			return join, nil
		}
	}
}

// in reads the file at path.
func in[T any](path string, read func(io.Reader) (T, error)) (v T, err error) {
	f, err := plainfile.Open(path)
	if err != nil {
		return v, err
	}
	defer f.Close()
	return read(f)
}
