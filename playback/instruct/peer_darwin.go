package instruct

import (
	"net"

	"golang.org/x/sys/unix"
)

// peerUser returns the user of the process at the other end of c, as of when
// it connected (unix(4), LOCAL_PEERCRED).
func peerUser(c *net.UnixConn) (int, error) {
	return onSocket(c, func(fd int) (int, error) {
		cred, err := unix.GetsockoptXucred(fd, unix.SOL_LOCAL, unix.LOCAL_PEERCRED)
		if err != nil {
			return 0, err
		}
		return int(cred.Uid), nil
	})
}
