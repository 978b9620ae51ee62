//go:build !linux

package input

import "errors"

// Device fails: there is no way to take sound in here without a C compiler that is
// known to be sound.
func Device(Options) (Input, error) {
	return nil, errors.New("sound can be taken in from a device on Linux alone (PulseAudio or PipeWire); here it comes from a file, or from standard input as raw frames")
}
