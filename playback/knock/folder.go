package knock

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"time"

	"github.com/adrg/xdg"
)

// folder returns the path of the folder of the notices: in XDG_RUNTIME_DIR, or where
// there is none in the user's state folder.
func folder() string {
	if dir := os.Getenv("XDG_RUNTIME_DIR"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "drylane")
	}
	return filepath.Join(xdg.StateHome, "drylane", "run")
}

// open makes the folder if need be. The error says if anybody but the user could enter
// it.
func open() (string, error) {
	dir := folder()
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", fmt.Errorf("the folder for the notices of drills cannot be made: %w", err)
	}
	info, err := os.Lstat(dir)
	switch {
	case err != nil:
		return "", fmt.Errorf("the folder for the notices of drills cannot be read: %w", err)
	case info.Mode()&fs.ModeSymlink != 0:
		return "", fmt.Errorf("%s: found a link; wanted a folder for the notices of drills", dir)
	case runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0: // there modes say nothing, and the profile is the user's
		return "", fmt.Errorf("%s: found a folder that others may enter (mode %04o); wanted 0700 for the notices of drills", dir, info.Mode().Perm())
	}
	return dir, nil
}

// write puts a file in its place, whole or not at all. Nobody but the user can read it.
func write(path string, b []byte) error {
	f, err := os.OpenFile(path+".new", os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(path+".new", path)
	}
	if err != nil {
		os.Remove(path + ".new")
	}
	return err
}

// sweep removes what drills left behind that did not end in order: notices that nobody
// touches, and what belongs to a drill that is not there.
func sweep(dir string, now time.Time) {
	list, _ := os.ReadDir(dir)
	there := map[string]bool{}
	for _, f := range list {
		pid, ok := pidOf(f.Name())
		if info, err := f.Info(); ok && err == nil && now.Sub(info.ModTime()) <= staleAfter {
			there[pid] = true // or it is being made
		}
	}
	for _, f := range list {
		if pid, ok := pidOf(f.Name()); ok && !there[pid] && f.Type().IsRegular() {
			os.Remove(filepath.Join(dir, f.Name()))
		}
	}
}

// ours are the names of the files of drills: the process first.
var ours = regexp.MustCompile(`^(\d+)(\.drill|\.[0-9A-Z]+(\.knock|\.door))(\.new)?$`)

// pidOf is the process that a file is of; ok is false for one that is no such file.
func pidOf(name string) (pid string, ok bool) {
	m := ours.FindStringSubmatch(name)
	if m == nil {
		return "", false
	}
	return m[1], true
}
