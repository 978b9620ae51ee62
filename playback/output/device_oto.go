//go:build darwin || windows

package output

import (
	"fmt"

	"drylane/playback"
)

// Device opens the system's default sound device.
func Device(o Options) (playback.Output, error) {
	o, err := o.checked()
	if err != nil {
		return nil, err
	}
	if o.Device != "" {
		return nil, fmt.Errorf("found the sound device %q; wanted none by name: only a sound server on Linux has devices to choose from", o.Device)
	}
	return openOto(o)
}

// noChoice is the error where a device cannot be chosen by name.
func noChoice(device string) error {
	return fmt.Errorf("found the sound device %q; wanted none by name: only a sound server on Linux has devices to choose from", device)
}
