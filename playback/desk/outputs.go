package desk

import (
	"fmt"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/output"
	"drylane/playback/sink"
)

// A Sound is where a sound check sounds, and how loud at the start.
type Sound struct {
	Out         string        // as sink.Place's
	Latency     time.Duration // as sink.Place's
	Left, Right float64       // gains of the sides, in dB
	Level       float64       // of the test signals, in dBFS
	Over        bool          // let the gains pass 0 dB
	Files       *disk.Writer  // as sink.Place's
}

// Check refuses levels that a desk would quietly change.
func (s Sound) Check() error {
	most := MostGain
	if s.Over {
		most = OverGain
	}
	for _, v := range []struct {
		flag        string
		db          float64
		least, most Half
	}{
		{"--left", s.Left, LeastGain, most},
		{"--right", s.Right, LeastGain, most},
		{"--level", s.Level, LeastLevel, 0},
	} {
		if !(v.db >= v.least.DB() && v.db <= v.most.DB()) {
			hint := ""
			if v.flag != "--level" && !s.Over {
				hint = " (6 with --over)"
			}
			return fmt.Errorf("%s: found %g; wanted %g to %g dB%s", v.flag, v.db, v.least.DB(), v.most.DB(), hint)
		}
	}
	return nil
}

// Outputs are the outputs of a desk, opened one after the other.
type Outputs struct {
	sound Sound
	first *sink.Sink
	rate  int
	spare playback.Output // opened, and not asked for yet
}

// NewOutputs opens the first output, so that what is wrong with it is
// known before anything plays.
func NewOutputs(s Sound, rate int) (*Outputs, error) {
	o := &Outputs{sound: s, rate: rate}
	var err error
	if o.first, err = o.sink(s.Out, rate); err != nil {
		return nil, err
	}
	if o.spare, err = o.first.Open(); err != nil {
		o.first.Finish(false)
		return nil, err
	}
	return o, nil
}

func (o *Outputs) sink(out string, rate int) (*sink.Sink, error) {
	return sink.Place{Where: out, Speed: "1", Latency: o.sound.Latency, Files: o.sound.Files}.Sink(rate, deviceBuffer)
}

// open returns an output for rate; the desk closes the one before. A device
// that was there at the start is missed when it is gone.
func (o *Outputs) open(rate int) (playback.Output, error) {
	if out := o.spare; out != nil && rate == o.rate {
		o.spare = nil
		return out, nil
	}
	out := o.sound.Out
	switch {
	case out == "auto" && o.first.Quiet:
		out = "silent"
	case out == "auto":
		out = "device"
	}
	s, err := o.sink(out, rate)
	if err != nil {
		return nil, err
	}
	return s.Open()
}

// Quiet reports whether nothing can be heard, for want of a device or because it
// was asked for.
func (o *Outputs) Quiet() bool { return o.first.Quiet || o.sound.Out == "silent" }

// NoDevice reports whether there was no device to play on.
func (o *Outputs) NoDevice() bool { return o.first.Quiet }

// Finish gives a file that was played into its name if all went well, or removes
// it.
func (o *Outputs) Finish(ok bool) error { return o.first.Finish(ok) }

// Close gives back what the desk did not ask for.
func (o *Outputs) Close() {
	if o.spare != nil {
		o.spare.Close()
	}
}

// deviceBuffer bounds what the device holds: gains are heard that much late.
const deviceBuffer = output.DefaultBuffer
