//go:build !linux && !darwin && !windows

package output

import (
	"errors"

	"drylane/playback"
)

// Device fails: there is no sound on this system.
func Device(Options) (playback.Output, error) {
	return nil, errors.New("sound is not supported on this system")
}
