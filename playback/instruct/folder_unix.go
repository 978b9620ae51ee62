//go:build !windows

package instruct

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
)

// checkRights reports why a folder is not the user's alone.
func checkRights(dir string, info fs.FileInfo) error {
	if s, ok := info.Sys().(*syscall.Stat_t); !ok || int(s.Uid) != os.Geteuid() {
		return fmt.Errorf("%s: found a folder of another user; wanted one's own for the instructor's socket", dir)
	}
	if perm := info.Mode().Perm(); perm&0o077 != 0 {
		return fmt.Errorf("%s: found a folder that others may enter (mode %04o); wanted 0700 for the instructor's socket", dir, perm)
	}
	return nil
}

// refused reports whether err says that nobody listens.
func refused(err error) bool { return errors.Is(err, syscall.ECONNREFUSED) }
