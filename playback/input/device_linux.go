package input

// Device opens a source of PulseAudio or PipeWire, such as a microphone, a line, or
// the monitor of what a device plays.
func Device(o Options) (Input, error) {
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
