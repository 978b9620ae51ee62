// Package playback opens soundtracks, streams them to an output and knows,
// to the frame, what has been heard.
//
// Nothing here knows what a cue or a show is. Positions are counted in
// frames of the soundtrack's own sample rate; a frame is one sample of every
// channel, and streams always carry two channels (a mono file plays on both).
//
// A stream is a beep.StreamSeeker of frames in -1..+1. After Seek(n) its next frame
// is bit-identical to frame n of a straight read from the start.
package playback

import (
	"errors"
	"time"
)

// ErrDeviceGone is returned, wrapped with the reason, by an Output whose
// device has been lost.
var ErrDeviceGone = errors.New("the sound device went away")

// ErrDeviceSilent is what is wrong, with the reason, with a device that is there,
// takes frames and plays none of them.
var ErrDeviceSilent = errors.New("the sound device went silent")

// An Output plays frames and knows which of them have been heard.
//
// All positions are counts of frames at the rate the output was opened with
// (the soundtrack's rate: an output resamples to its device by itself), from 0
// at the first frame written. An Output belongs to one goroutine unless a
// method says otherwise. No method blocks for longer than a device round trip.
//
// The life of an output is: Write until Space is 0, Start, then Write as Space
// grows; Hold; Write again from the frame that Hold returned; Start; ... Close.
type Output interface {
	// Name tells a person what plays, such as `PulseAudio, Built-in Audio`.
	Name() string
	// Space returns how many frames Write takes now. An output never asks for
	// more than its buffer, which it keeps below the Buffer it was opened with.
	Space() int
	// Write queues frames. It takes no more than Space; more is an error.
	Write(frames [][2]float64) error
	// Start lets the queued frames sound. Calling it while playing is a no-op.
	Start() error
	// Heard returns the count of frames that have left the loudspeaker's
	// side of the device. It never goes back, except to the value Hold returns.
	// When the queue runs dry it stands still.
	Heard() (int64, error)
	// Hold silences the output at once, drops what was queued and not heard,
	// and returns how many frames have been heard: the next frame to write.
	// The sound is faded out over the last 5 ms and the next frames written
	// are faded in, so that neither end clicks (files are cut, not faded).
	Hold() (int64, error)
	// Latency is how long a frame written now will take to be heard, as last
	// measured, including any override. Safe to call from any goroutine.
	Latency() time.Duration
	// Underruns counts how often the device ran dry while it should have
	// played. Safe to call from any goroutine.
	Underruns() int
	// Close stops the sound and gives the device back. A second call is a no-op.
	Close() error
}

// A Suspendable output knows whether the system has put its device to sleep: then
// frames wait, and nothing is heard. Suspended is safe to call from any goroutine.
type Suspendable interface{ Suspended() bool }

// A Soundless output is a clock that plays nothing.
type Soundless interface{ Soundless() }
