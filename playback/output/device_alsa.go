//go:build linux && alsa && cgo

package output

import (
	"errors"

	"drylane/playback"
)

// Device opens the default sound device through PulseAudio or PipeWire, or
// through ALSA where there is neither.
func Device(o Options) (playback.Output, error) {
	o, err := o.checked()
	if err != nil {
		return nil, err
	}
	p, err := openPulse(o)
	if err == nil {
		return p, nil
	}
	if o.Device != "" { // it is one of the server's
		return nil, err
	}
	alsa, err2 := openOto(o)
	if err2 != nil {
		return nil, errors.Join(err, err2)
	}
	return alsa, nil
}
