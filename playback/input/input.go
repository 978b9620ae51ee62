// Package input takes frames in from a sound device, a file or standard input, and
// tells at what moment each was captured: it is to hearing what package output is to
// playing. Nothing here knows what the frames mean.
package input

import (
	"errors"
	"fmt"
	"time"
)

// An Input takes in frames, two channels in -1..+1 (a mono source is on both). They
// are counted from 0, the first one that comes in. An Input belongs to one goroutine
// unless a method says otherwise, and no method waits, but Read of one that goes as
// fast as it can, which waits for its file or pipe.
type Input interface {
	// Name tells a person what is listened to, such as `PulseAudio, Line In`.
	Name() string
	// Rate is how many frames come in a second.
	Rate() int
	// Read moves the frames that have come in and have not been read into frames, the
	// oldest first, and returns how many those are: 0 with no error when there are
	// none just now. At the end of a file or a pipe the error is io.EOF; of a device
	// that was lost it wraps ErrGone.
	Read(frames [][2]float64) (int, error)
	// Captured returns the frame that is captured at a moment, as a count of frames. It
	// is ahead of what has been read by the latency.
	Captured(at time.Time) float64
	// Latency is how long after it was captured a frame can be read, as last measured.
	// Safe to call from any goroutine.
	Latency() time.Duration
	// Close gives the device or the file back. A second call is a no-op.
	Close() error
}

// ErrGone is returned, wrapped with the reason, by an Input whose device was lost.
var ErrGone = errors.New("the sound input went away")

var errClosed = errors.New("the sound input is closed")

// Options say how to open a device.
type Options struct {
	// Server names the sound server on Linux; empty for the usual one.
	Server string
	// Device is the name of a source of the sound server, or words that only its name
	// or description has; empty for the default one.
	Device string
	// Playing says that Device names a device that plays, as the Options of package
	// output do: what it plays is taken in.
	Playing bool
	// Microphone refuses a source that takes in what a device plays.
	Microphone bool
	// AppName is what a mixer shows; "drylane" when empty.
	AppName string
	// Latency is what the device does not tell of: frames were captured that much
	// earlier than it says.
	Latency time.Duration
}

// The limits of an extra latency.
const (
	leastLatency = -2 * time.Second
	mostLatency  = 5 * time.Second
)

func (o Options) checked() (Options, error) {
	if o.Latency < leastLatency || o.Latency > mostLatency {
		return o, fmt.Errorf("an extra latency of %v is out of range: want -2s to 5s", o.Latency)
	}
	if o.AppName == "" {
		o.AppName = "drylane"
	}
	return o, nil
}
