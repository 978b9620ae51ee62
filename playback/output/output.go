// Package output plays frames on a sound device, in silence by the wall clock,
// or into a file, and tells to the frame what has been heard. Each kind is a
// playback.Output. beep's speaker (v1.1.0) has no way to say what has been heard,
// nor to take back what has not.
//
// A device runs at its own rate; the outputs here convert to it and count in
// soundtrack frames all the same. After a hold the converter starts again with
// the frames before the hold as its history and at the part of a frame at which
// the device stopped, so what follows is the same to the bit as without the hold.
package output

import (
	"fmt"
	"time"

	"drylane/playback/resample"
	"drylane/show/timebase"
)

// DefaultBuffer is how much an output holds at most, when Options do not say.
const DefaultBuffer = 100 * time.Millisecond

// fade is the length of the fade-out before a hold and of the fade-in after.
const fade = 5 * time.Millisecond

// Options say how to open an output. Only Rate is required.
type Options struct {
	// Rate is the soundtrack's, in frames a second.
	Rate int
	// Buffer bounds all that is queued, the device's own buffer included;
	// DefaultBuffer when 0. An output keeps a tenth below it.
	Buffer time.Duration
	// Latency is what the device does not tell of, found by ear or by
	// microphone: a wireless link, a processor in the sound system. It makes
	// Heard later by this much, and Latency longer; a negative value corrects a
	// device that reports too much. It cannot be taken back by a hold, so Hold
	// returns the frame at which the device stopped, and that frame is heard
	// this much after. It does not count against Buffer. Silent and file
	// outputs ignore it.
	Latency time.Duration
	// Speed is for silent outputs: how fast time passes, 1 for real time, 0 for
	// as fast as frames are written.
	Speed float64
	// Server names the sound server on Linux; empty for the usual one.
	Server string
	// Device is the name of a device of the sound server, or words that only
	// its name or description has; empty for the default one. Linux only.
	Device string
	// AppName is what a mixer shows; "drylane" when empty.
	AppName string
}

// checked fills in defaults and refuses what cannot work.
func (o Options) checked() (Options, error) {
	if o.Rate < 1000 || o.Rate > 768000 {
		return o, fmt.Errorf("a soundtrack of %d Hz cannot be played: want 1000 to 768000", o.Rate)
	}
	if o.Buffer == 0 {
		o.Buffer = DefaultBuffer
	}
	if o.Buffer < 40*time.Millisecond || o.Buffer > 2*time.Second {
		return o, fmt.Errorf("a sound buffer of %v cannot be had: want 40ms to 2s", o.Buffer)
	}
	if o.Latency < -2*time.Second || o.Latency > 5*time.Second {
		return o, fmt.Errorf("an extra latency of %v is out of range: want -2s to 5s", o.Latency)
	}
	if o.Speed < 0 || o.Speed > 1e6 || o.Speed != o.Speed {
		return o, fmt.Errorf("a speed of %v is out of range: want 0 (as fast as it can) to 1000000", o.Speed)
	}
	if o.AppName == "" {
		o.AppName = "drylane"
	}
	return o, nil
}

// space is how many frames an output may hold: nine tenths of the buffer.
func (o Options) space() int64 {
	return int64(timebase.FrameAt(o.Buffer*9/10, o.Rate))
}

// frames is d in whole frames at rate, rounded to the nearest.
func frames(d time.Duration, rate int) int64 { return int64(timebase.FrameAt(d, rate)) }

// duration is n frames at rate as time.
func duration(n int64, rate int) time.Duration { return timebase.Frame(n).At(rate) }

// tooMany is the error of a Write beyond Space.
func tooMany(n, space int) error {
	return fmt.Errorf("%d frames written to an output with room for %d", n, space)
}

var errClosed = fmt.Errorf("the sound output is closed")

// converter returns a resampler from the soundtrack's to the device's rate, nil
// where they are the same, and how the two count.
func converter(rate, device int) (*resample.Resampler, resample.Ratio, error) {
	if rate == device {
		return nil, resample.Ratio{L: 1, M: 1}, nil
	}
	r, err := resample.New(rate, device)
	if err != nil {
		return nil, resample.Ratio{}, err
	}
	return r, r.Ratio(), nil
}
