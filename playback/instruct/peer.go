package instruct

import (
	"errors"
	"fmt"
	"net"
	"os"
)

// ownPeer reports why the process at the other end of c is not to be talked to:
// it is another user's.
func ownPeer(c *net.UnixConn) error {
	uid, err := peerUser(c)
	switch {
	case errors.Is(err, errors.ErrUnsupported):
		return nil // what is left is the folder, which nobody else can enter
	case err != nil:
		return fmt.Errorf("who is at the other end cannot be told: %w", err)
	case uid != os.Geteuid():
		return errors.New("only the user who runs the drill can instruct it")
	}
	return nil
}

// onSocket calls f with the file descriptor of c.
func onSocket(c *net.UnixConn, f func(fd int) (uid int, err error)) (uid int, err error) {
	raw, err := c.SyscallConn()
	if err != nil {
		return 0, err
	}
	if e := raw.Control(func(fd uintptr) { uid, err = f(int(fd)) }); e != nil {
		return 0, e
	}
	return uid, err
}
