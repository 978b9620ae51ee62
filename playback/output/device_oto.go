//go:build darwin || windows

package output

import "drylane/playback"

// Device opens the system's default sound device.
func Device(o Options) (playback.Output, error) {
	o, err := o.checked()
	if err != nil {
		return nil, err
	}
	if o.Device != "" {
		return nil, noChoice(o.Device)
	}
	return openOto(o)
}
