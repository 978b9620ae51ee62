// Package sink opens what the words of the command line name as the place where
// the sound goes: a device, the silent clock, or a file.
package sink

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/disk"
	"drylane/playback/output"
)

// A Place is where the sound goes, in the words of the command line.
type Place struct {
	Where   string        // auto, device, device:NAME, silent or wav:PATH
	Speed   string        // of the silent clock: how many times the pace of music, or max; "1" for all else
	Latency time.Duration // what the device does not tell of its latency
	Flag    string        // the flag that Where is from, for errors; empty for --out
	Files   *disk.Writer  // writes wav:PATH; nil for one that knows of no other file
}

func (p Place) flag() string { return cmp.Or(p.Flag, "--out") }

// Limits of what a device may not tell of its latency.
const (
	LeastLatency = -2 * time.Second
	MostLatency  = 5 * time.Second
)

// A Sink is an output ready to be opened.
type Sink struct {
	Open   func() (playback.Output, error)
	Silent func() playback.Output // the silent clock; nil where it cannot stand in
	Now    func() time.Time       // nil: as fast as it can
	Speed  float64                // seconds of music a second; 0 without Now
	Quiet  bool                   // silent for want of a device
	// Finish gives a file its name if the run was good, or removes it.
	Finish func(ok bool) error
}

// NoDevice is what is said when there is nothing to play on.
const NoDevice = "no sound device: silent clock"

// Sink gets what p names ready, for a soundtrack of the given rate and a buffer no
// longer than that. What is wrong with p is known before anything plays.
func (p Place) Sink(rate int, buffer time.Duration) (*Sink, error) {
	speed, err := p.speed()
	if err != nil {
		return nil, err
	}
	opt := output.Options{Rate: rate, Buffer: buffer, Latency: p.Latency, AppName: "drylane"}
	s := &Sink{Now: time.Now, Speed: 1, Finish: func(bool) error { return nil }}
	s.Silent = func() playback.Output { return silent(opt, 1) }
	device := func() (playback.Output, error) { return output.Device(opt) }
	path, isFile := strings.CutPrefix(p.Where, "wav:")
	name, isNamed := strings.CutPrefix(p.Where, "device:")
	switch {
	case isFile:
		return p.file(s, opt, path)
	case p.Where == "silent":
		s.Open = func() (playback.Output, error) { return silent(opt, speed), nil }
		if s.Speed = speed; speed == 0 {
			s.Now = nil
		}
	case p.Where == "device":
		s.Open = device
	case isNamed && name != "":
		opt.Device = name
		s.Open = device
	case p.Where == "auto":
		s.auto(opt, device)
	default:
		return nil, fmt.Errorf("%s: found %q; wanted auto, device, device:NAME, silent or wav:PATH", p.flag(), p.Where)
	}
	return s, nil
}

// silent is the silent clock at some times the pace of music.
func silent(opt output.Options, speed float64) playback.Output {
	opt.Speed = speed
	return output.Silent(opt, time.Now)
}

// speed is how many seconds of music a second plays; 0 for as fast as it can.
func (p Place) speed() (float64, error) {
	if p.Speed != "1" && p.Where != "silent" {
		return 0, errors.New("--speed: music plays at its own pace; another is only for --out silent")
	}
	if p.Speed == "max" {
		return 0, nil
	}
	if v, err := strconv.ParseFloat(p.Speed, 64); err == nil && v > 0 && v <= 1000 {
		return v, nil
	}
	return 0, fmt.Errorf("--speed: found %q; wanted a number up to 1000, or max", p.Speed)
}

// auto takes the first device there is, or the silent clock. It is found once:
// what plays at the start plays on, and a device that goes away later is a hold.
func (s *Sink) auto(opt output.Options, device func() (playback.Output, error)) {
	first, err := device()
	if err != nil {
		s.Quiet = true
		s.Open = func() (playback.Output, error) { return silent(opt, 1), nil }
		return
	}
	s.Open = func() (playback.Output, error) {
		if out := first; out != nil {
			first = nil
			return out, nil
		}
		return device()
	}
}

// file writes the rehearsal into a WAV file, as fast as it can. The file
// gets its name when it is whole.
func (p Place) file(s *Sink, opt output.Options, path string) (*Sink, error) {
	if path == "" {
		return nil, fmt.Errorf("%s wav: found no file name; wanted wav:PATH", p.flag())
	}
	f, err := p.create(path)
	if err != nil {
		return nil, fmt.Errorf("%s wav: %w", p.flag(), err)
	}
	s.Now, s.Silent = nil, nil
	s.Open = func() (playback.Output, error) { return output.WAV(opt, f, playback.WAVInt16) }
	s.Finish = func(ok bool) error {
		if !ok {
			f.Discard()
			return nil
		}
		return f.Finish()
	}
	return s, nil
}

// create opens the file that is played into.
func (p Place) create(path string) (*disk.File, error) {
	t, err := cmp.Or(p.Files, new(disk.Writer)).Take(p.flag(), path)
	if err != nil {
		return nil, err
	}
	return t.Open()
}
