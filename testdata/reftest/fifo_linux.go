package reftest

import (
	"os"
	"syscall"
)

// smallFIFO makes a named pipe that holds no more than a page, and opens it.
func smallFIFO(path string) (*os.File, error) {
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDWR|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	const setPipeSize = 1031 // F_SETPIPE_SZ
	conn, err := f.SyscallConn()
	if err != nil {
		return nil, err
	}
	var failed syscall.Errno
	err = conn.Control(func(fd uintptr) {
		_, _, failed = syscall.Syscall(syscall.SYS_FCNTL, fd, setPipeSize, 4096)
	})
	if failed != 0 {
		err = failed
	}
	return f, err
}
