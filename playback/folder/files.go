package folder

import (
	"context"
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
	root, err := openRoot(dir)
	if err != nil {
		return "", nil, fmt.Errorf("%s: found no show folder; wanted a folder with show.toml and what it names (%w)", dir, disk.Plain(err))
	}
	if path, err = filepath.Abs(dir); err != nil {
		path = dir
	}
	return path, regular{root}, nil
}

// Medium opens a memory stick, or any folder, at the place where it is mounted.
func Medium(path string) (fs.FS, error) {
	root, err := openRoot(path)
	if err != nil {
		return nil, fmt.Errorf("%s: found no folder; wanted the place where the medium is mounted (%w)", path, disk.Plain(err))
	}
	return regular{root}, nil
}

// openRoot opens a folder. A name that ends in a separator can be nothing else,
// so that a pipe by that name is not waited for.
func openRoot(dir string) (*os.Root, error) {
	if dir != "" {
		dir += string(filepath.Separator)
	}
	return os.OpenRoot(dir)
}

// regular is a file system that opens nothing but files and folders: a pipe
// or a device by the name of a soundtrack would be waited for without end.
type regular struct{ root *os.Root }

func (r regular) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	f, err := disk.OpenIn(r.root, filepath.FromSlash(name))
	if err != nil {
		return nil, err
	}
	return f, nil
}

// File opens a file of a folder for reading anywhere in it.
func File(files fs.FS, name string) (io.ReadSeekCloser, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, cannotOpen(name, err)
	}
	r, ok := f.(io.ReadSeekCloser)
	if !ok {
		f.Close()
		return nil, &playback.OpenError{Name: name, Found: "is not a file"}
	}
	return r, nil
}

// cannotOpen is the error of a sound file that the folder does not give.
func cannotOpen(name string, err error) error {
	return &playback.OpenError{Name: name, Found: "cannot be opened: " + disk.Plain(err).Error(), Want: "wanted an MP3, WAV, FLAC or Ogg Vorbis file in the show folder", Err: err}
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
