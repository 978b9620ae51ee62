//go:build unix

package plainfile

import (
	"os"
	"syscall"
)

// noWait keeps the opening of a pipe from waiting for whoever writes into it.
const noWait = syscall.O_NONBLOCK

// mayWait takes noWait back: reads may wait for the disk.
func mayWait(f *os.File) error {
	c, err := f.SyscallConn()
	if err != nil {
		return err
	}
	var failed error
	err = c.Control(func(fd uintptr) { failed = syscall.SetNonblock(int(fd), false) })
	if err != nil {
		return err
	}
	return failed
}
