package screen

import "golang.org/x/sys/unix"

// discard throws away what a terminal has not taken yet.
func discard(fd uintptr) { unix.IoctlSetInt(int(fd), unix.TCFLSH, unix.TCOFLUSH) }
