package instruct

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/adrg/xdg"
)

const (
	suffix = ".sock"
	// longestPath is what a socket's address holds on every system: 104 bytes
	// with the zero at the end on macOS and the BSDs, 108 on Linux and Windows
	// (struct sockaddr_un).
	longestPath = 103
	// staleAfter is how old a socket must be to be taken for one left behind: a
	// younger one may be about to listen.
	staleAfter = 10 * time.Second
)

// folder returns the path of the folder that runs make their sockets in: in
// XDG_RUNTIME_DIR, or where there is none in the user's state folder.
func folder() string {
	if dir := os.Getenv("XDG_RUNTIME_DIR"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "drylane")
	}
	return filepath.Join(xdg.StateHome, "drylane", "run")
}

// Folder returns the folder that runs make their sockets in, which it makes if
// need be. The error says if anybody but the user could enter it.
func Folder() (string, error) {
	dir := folder()
	if err := os.MkdirAll(filepath.Dir(dir), 0o700); err != nil {
		return "", fmt.Errorf("the folder for the instructor's socket cannot be made: %w", err)
	}
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("the folder for the instructor's socket cannot be made: %w", err)
	}
	return dir, checkFolder(dir)
}

// checkFolder reports why dir is no folder to put a socket in.
func checkFolder(dir string) error {
	info, err := os.Lstat(dir)
	switch {
	case err != nil:
		return fmt.Errorf("the folder for the instructor's socket cannot be read: %w", err)
	case info.Mode()&fs.ModeSymlink != 0:
		return fmt.Errorf("%s: found a link; wanted a folder for the instructor's socket", dir)
	case !info.IsDir():
		return fmt.Errorf("%s: found a file; wanted a folder for the instructor's socket", dir)
	}
	return checkRights(dir, info)
}

// listen makes a socket at path, in the place of one that was left behind.
func listen(path string) (*net.UnixListener, error) {
	if len(path) > longestPath {
		return nil, fmt.Errorf("%s: found a path of %d bytes for the instructor's socket; wanted %d at most: set XDG_RUNTIME_DIR to a shorter one", path, len(path), longestPath)
	}
	if info, err := os.Lstat(path); err == nil {
		if info.Mode()&fs.ModeSocket == 0 {
			return nil, fmt.Errorf("%s: found a file; wanted nothing there, for the instructor's socket", path)
		}
		if !dead(path) {
			return nil, fmt.Errorf("%s: another run listens there", path)
		}
		os.Remove(path)
	}
	l, err := net.ListenUnix("unix", &net.UnixAddr{Name: path, Net: "unix"})
	if err != nil {
		return nil, fmt.Errorf("%s: the instructor's socket cannot be made: %w", path, err)
	}
	if err := os.Chmod(path, 0o600); err != nil {
		l.Close()
		return nil, fmt.Errorf("%s: the instructor's socket cannot be kept to the user: %w", path, err)
	}
	return l, nil
}

// sockets returns the paths of the sockets in dir.
func sockets(dir string) ([]string, error) {
	list, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the folder of the instructors' sockets cannot be read: %w", err)
	}
	var paths []string
	for _, f := range list {
		if strings.HasSuffix(f.Name(), suffix) && f.Type()&fs.ModeSocket != 0 {
			paths = append(paths, filepath.Join(dir, f.Name()))
		}
	}
	return paths, nil
}

// sweep removes sockets that were left behind by runs that did not end in
// order.
func sweep(dir string) {
	paths, _ := sockets(dir)
	for _, path := range paths {
		info, err := os.Lstat(path)
		if err == nil && time.Since(info.ModTime()) > staleAfter && dead(path) {
			os.Remove(path)
		}
	}
}

// dead reports whether nobody listens at path.
func dead(path string) bool {
	c, err := net.DialTimeout("unix", path, time.Second)
	if err == nil {
		c.Close()
	}
	return refused(err)
}
