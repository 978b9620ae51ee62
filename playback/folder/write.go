package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"drylane/playback/disk"
)

// Vacant refuses a place for a new folder where there is something already.
func Vacant(to string) error {
	list, err := os.ReadDir(to)
	switch {
	case err == nil && len(list) > 0:
		return fmt.Errorf("--to: found a folder with files in it at %s; wanted a new or an empty one", to)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("--to: %s is no folder: %w", to, disk.Plain(err))
	}
	return nil
}

// write makes a folder, which the user calls by the name to, at place: whole,
// under another name at first, or not at all. fill writes its files; check may
// then read them.
func write(to, place string, fill func(root *os.Root) error, check func(files fs.FS)) error {
	cannot := func(err error) error { return fmt.Errorf("%s: the folder cannot be made: %w", to, disk.Plain(err)) }
	part, err := os.MkdirTemp(filepath.Dir(place), ".drylane-*")
	if err != nil {
		return cannot(err)
	}
	defer os.RemoveAll(part) // gone by then if all went well
	root, err := os.OpenRoot(part)
	if err != nil {
		return cannot(err)
	}
	err = fill(root)
	if err == nil {
		check(root.FS())
	}
	root.Close() // before it is renamed: some systems need that
	if err != nil {
		return err
	}
	if err := errors.Join(os.Chmod(part, 0o755), publish(part, place)); err != nil {
		return cannot(err)
	}
	return nil
}

// publish gives the finished folder its name, in place of an empty one.
func publish(part, to string) error {
	if err := os.Remove(to); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.Rename(part, to)
}

// create writes a file in root, on disk when it returns.
func create(root *os.Root, name string, write func(io.Writer) error) error {
	if dir := path.Dir(name); dir != "." {
		if err := root.MkdirAll(dir, 0o755); err != nil {
			return err
		}
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if err := errors.Join(write(f), f.Sync()); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// copyInto copies what r holds into a file of root, until ctx ends.
func copyInto(ctx context.Context, root *os.Root, name string, r io.Reader, also ...io.Writer) error {
	return create(root, name, func(w io.Writer) error {
		_, err := io.Copy(io.MultiWriter(append(also, w)...), disk.Stoppable(ctx, r))
		return err
	})
}
