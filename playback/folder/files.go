package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"drylane/playback"
	"drylane/playback/disk"
)

// Dir opens a folder for those who look into it themselves, and returns its
// absolute path. Nothing but files and folders can be opened in it, and nothing
// outside it.
func Dir(dir string) (path string, files fs.FS, err error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return "", nil, fmt.Errorf("%s: found no show folder; wanted a folder with show.toml and what it names (%w)", dir, disk.Plain(err))
	}
	if path, err = filepath.Abs(dir); err != nil {
		path = dir
	}
	return path, regular{root.FS()}, nil
}

// Medium opens a memory stick, or any folder, at the place where it is mounted.
func Medium(path string) (fs.FS, error) {
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, fmt.Errorf("%s: found no folder; wanted the place where the medium is mounted (%w)", path, disk.Plain(err))
	}
	return regular{root.FS()}, nil
}

// regular is a file system that opens nothing but files and folders: a pipe
// or a device by the name of a soundtrack would be waited for without end.
type regular struct{ fs.FS }

func (r regular) Open(name string) (fs.File, error) {
	info, err := fs.Stat(r.FS, name)
	if err != nil {
		return nil, err
	}
	if m := info.Mode(); !m.IsRegular() && !m.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("it is no ordinary file")}
	}
	return r.FS.Open(name)
}

// File opens a file of a folder for reading anywhere in it.
func File(files fs.FS, name string) (io.ReadSeekCloser, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, &playback.OpenError{Name: name, Found: "cannot be opened: " + disk.Plain(err).Error(), Want: "wanted an MP3, WAV, FLAC or Ogg Vorbis file in the show folder", Err: err}
	}
	r, ok := f.(io.ReadSeekCloser)
	if !ok {
		f.Close()
		return nil, &playback.OpenError{Name: name, Found: "is not a file"}
	}
	return r, nil
}

// Sound opens a sound file of a folder.
func Sound(files fs.FS, name string) (*playback.Soundtrack, error) {
	f, err := File(files, name)
	if err != nil {
		return nil, err
	}
	return playback.Open(name, f)
}

// Hash returns the SHA-256 of a file of a folder.
func Hash(ctx context.Context, files fs.FS, name string) (string, error) {
	f, err := files.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	return playback.HashFile(ctx, f, nil)
}
