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

// writeNew is write for a folder that may lie in folders which are not there yet.
func writeNew(to string, fill func(root *os.Root) error, check func(files fs.FS)) error {
	place, err := filepath.Abs(to)
	if err != nil {
		return err
	}
	undo, err := disk.MakeFolders(filepath.Dir(place))
	defer undo() // of those that were needed nothing is removed
	if err != nil {
		return fmt.Errorf("%s: the folder cannot be made: %w", to, disk.Plain(err))
	}
	return write(to, place, fill, check)
}

// write makes a folder, which the user calls by the name to, at place: whole,
// under another name at first, or not at all. An empty folder that is there is
// filled. fill writes its files; check may then read them.
func write(to, place string, fill func(root *os.Root) error, check func(files fs.FS)) error {
	cannot := func(err error) error { return fmt.Errorf("%s: the folder cannot be made: %w", to, disk.Plain(err)) }
	beside := filepath.Dir(place)
	if info, err := os.Stat(place); err == nil && info.IsDir() {
		beside = place // it may be a memory stick, beside which nothing can be put
	}
	part, err := os.MkdirTemp(beside, ".drylane-*")
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
	if err := publish(part, place); err != nil {
		return cannot(err)
	}
	return nil
}

// publish gives the finished folder its name; one that lies in the empty folder
// to gives up its files to that.
func publish(part, to string) error {
	if filepath.Dir(part) != to {
		return errors.Join(os.Chmod(part, 0o755), os.Rename(part, to))
	}
	list, err := os.ReadDir(part)
	for i := 0; i < len(list) && err == nil; i++ {
		name := list[i].Name()
		if err = os.Rename(filepath.Join(part, name), filepath.Join(to, name)); err != nil {
			for _, moved := range list[:i] {
				os.RemoveAll(filepath.Join(to, moved.Name()))
			}
		}
	}
	return err
}

// create writes a file in root, on disk when it returns.
func create(root *os.Root, name string, write func(io.WriteSeeker) error) error {
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

// writeIn returns what writes files of root from memory.
func writeIn(root *os.Root) func(name string, data []byte) error {
	return func(name string, data []byte) error {
		return create(root, name, func(w io.WriteSeeker) error {
			_, err := w.Write(data)
			return err
		})
	}
}

// copyInto copies what r holds into a file of root, until ctx ends.
func copyInto(ctx context.Context, root *os.Root, name string, r io.Reader, also ...io.Writer) error {
	return create(root, name, func(w io.WriteSeeker) error {
		_, err := io.Copy(io.MultiWriter(append(also, w)...), disk.Stoppable(ctx, r))
		return err
	})
}
