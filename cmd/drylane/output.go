package main

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/output"
)

// outFlags are the flags that say where the sound goes.
type outFlags struct {
	Out     string        `default:"auto" placeholder:"WHERE" help:"Where the sound goes: auto, device, device:NAME (Linux), silent or wav:PATH."`
	Speed   string        `default:"1" placeholder:"N" help:"Silent output only: N seconds of music a second, or max."`
	Latency time.Duration `placeholder:"TIME" help:"What the device does not tell of its latency, such as 180ms for a wireless speaker."`
	Reports string        `default:"both" enum:"both,left,right,off" help:"Where the cues' reports sound: both, left, right or off."`
	Level   float64       `default:"-12" placeholder:"DB" help:"Level of the reports in dB."`

	beside bool // the output is that of --beside
}

// flag is the flag that Out is from.
func (o outFlags) flag() string {
	if o.beside {
		return "--beside"
	}
	return "--out"
}

// check refuses what would hurt or cannot be had.
func (o outFlags) check() error {
	switch {
	case !(o.Level >= -60 && o.Level <= 6): // also NaN
		return fmt.Errorf("--level: found %g; wanted -60 to 6 dB", o.Level)
	case o.Latency < -2*time.Second || o.Latency > 5*time.Second:
		return fmt.Errorf("--latency: found %v; wanted -2s to 5s", o.Latency)
	}
	return nil
}

// A sink is an output ready to be opened.
type sink struct {
	open   func() (playback.Output, error)
	silent func() playback.Output
	now    func() time.Time // nil: as fast as it can
	speed  float64
	quiet  bool // silent for want of a device
	// finish gives a file its name if the run was good, or removes it.
	finish func(ok bool) error
}

// noDevice is what is said when there is nothing to play on.
const noDevice = "no sound device: silent clock"

// sink opens what the flags name, for a soundtrack of the given rate and a
// buffer no longer than that.
func (o outFlags) sink(rate int, buffer time.Duration) (*sink, error) {
	speed := 1.0
	if o.Speed != "1" && o.Out != "silent" {
		return nil, errors.New("--speed: music plays at its own pace; another is only for --out silent")
	}
	if o.Speed == "max" {
		speed = 0
	} else if v, err := strconv.ParseFloat(o.Speed, 64); err == nil && v > 0 && v <= 1000 {
		speed = v
	} else {
		return nil, fmt.Errorf("--speed: found %q; wanted a number up to 1000, or max", o.Speed)
	}
	opt := output.Options{Rate: rate, Buffer: buffer, Latency: o.Latency, AppName: "drylane"}
	s := &sink{now: time.Now, speed: 1, finish: func(bool) error { return nil }}
	quiet := func(speed float64) playback.Output {
		q := opt
		q.Speed = speed
		return output.Silent(q, time.Now)
	}
	s.silent = func() playback.Output { return quiet(1) }
	device := func() (playback.Output, error) { return output.Device(opt) }
	path, isFile := strings.CutPrefix(o.Out, "wav:")
	name, isNamed := strings.CutPrefix(o.Out, "device:")
	switch {
	case isFile:
		return o.fileSink(s, opt, path)
	case o.Out == "silent":
		s.open = func() (playback.Output, error) { return quiet(speed), nil }
		if s.speed = speed; speed == 0 {
			s.now = nil
		}
	case o.Out == "device":
		s.open = device
	case isNamed && name != "":
		opt.Device = name
		s.open = device
	case o.Out == "auto":
		// Found once: what plays at the start plays on, and a device that
		// goes away later is a hold.
		first, err := device()
		if err != nil {
			s.quiet = true
			s.open = func() (playback.Output, error) { return quiet(1), nil }
			return s, nil
		}
		s.open = func() (playback.Output, error) {
			if out := first; out != nil {
				first = nil
				return out, nil
			}
			return device()
		}
	default:
		return nil, fmt.Errorf("%s: found %q; wanted auto, device, device:NAME, silent or wav:PATH", o.flag(), o.Out)
	}
	return s, nil
}

// fileSink writes the rehearsal into a WAV file, as fast as it can. The file
// gets its name when it is whole.
func (o outFlags) fileSink(s *sink, opt output.Options, path string) (*sink, error) {
	if path == "" {
		return nil, fmt.Errorf("%s wav: found no file name; wanted wav:PATH", o.flag())
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s wav: %s is a folder; wanted the name of a file", o.flag(), path)
	}
	f, err := disk.NewPending(path)
	if err != nil {
		return nil, fmt.Errorf("%s wav: %s cannot be written: %w", o.flag(), path, disk.Plain(err))
	}
	s.now, s.silent = nil, nil
	s.open = func() (playback.Output, error) { return output.WAV(opt, f, playback.WAVInt16) }
	s.finish = func(ok bool) error {
		if !ok {
			return f.Cleanup()
		}
		return f.CloseAtomicallyReplace()
	}
	return s, nil
}
