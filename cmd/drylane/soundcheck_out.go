package main

import (
	"drylane/playback"
	"drylane/playback/output"
)

// A checkOut opens outputs for a desk, one after the other.
type checkOut struct {
	flags soundFlags
	first *sink
	rate  int
	spare playback.Output // opened, and not asked for yet
}

// newCheckOut opens the output of the flags, so that what is wrong with it is
// known before anything plays.
func newCheckOut(f soundFlags, rate int) (*checkOut, error) {
	o := &checkOut{flags: f, rate: rate}
	var err error
	if o.first, err = o.sink(f.Out, rate); err != nil {
		return nil, err
	}
	if o.spare, err = o.first.open(); err != nil {
		o.first.finish(false)
		return nil, err
	}
	return o, nil
}

func (o *checkOut) sink(out string, rate int) (*sink, error) {
	return outFlags{Out: out, Speed: "1", Latency: o.flags.Latency}.sink(rate, checkBuffer)
}

// open returns an output for rate; the desk closes the one before. A device
// that was there at the start is missed when it is gone.
func (o *checkOut) open(rate int) (playback.Output, error) {
	if out := o.spare; out != nil && rate == o.rate {
		o.spare = nil
		return out, nil
	}
	out := o.flags.Out
	switch {
	case out == "auto" && o.first.quiet:
		out = "silent"
	case out == "auto":
		out = "device"
	}
	s, err := o.sink(out, rate)
	if err != nil {
		return nil, err
	}
	return s.open()
}

// close gives back what the desk did not ask for.
func (o *checkOut) close() {
	if o.spare != nil {
		o.spare.Close()
	}
}

// checkBuffer bounds what the device holds: gains are heard that much late.
const checkBuffer = output.DefaultBuffer
