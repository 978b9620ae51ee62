//go:build !linux && !darwin

package instruct

import (
	"errors"
	"net"
)

// peerUser cannot tell on this system.
func peerUser(*net.UnixConn) (int, error) { return 0, errors.ErrUnsupported }
