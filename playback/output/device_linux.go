//go:build linux && !(alsa && cgo)

package output

import "drylane/playback"

// Device opens the default sound device through PulseAudio or PipeWire.
func Device(o Options) (playback.Output, error) {
	o, err := o.checked()
	if err != nil {
		return nil, err
	}
	p, err := openPulse(o)
	if err != nil {
		return nil, err
	}
	return p, nil
}
