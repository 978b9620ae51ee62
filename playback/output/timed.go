package output

import (
	"time"

	"drylane/playback"
)

// A Timed output knows when its frames sound, and starts and stops at a chosen
// one, so that two outputs can be made to keep together. Frames are counted as
// in playback.Output; moments are when a frame leaves the loudspeaker's side of
// the device, as for Heard.
type Timed interface {
	playback.Output
	// Sounding returns which frame sounds at a moment, also one that is some
	// hundred milliseconds ahead, as if what is queued went on for ever. ok is
	// false while nothing plays.
	Sounding(at time.Time) (frame int64, ok bool)
	// Soonest returns the earliest moment at which StartAt, called now, can let
	// the queued frames begin to sound.
	Soonest() (time.Time, error)
	// StartAt is Start with the first queued frame sounding at a moment, or as
	// soon after it as can be; that it is no more than a second ahead is for
	// the caller to see to. Calling it while playing is a no-op.
	StartAt(at time.Time) error
	// CanHold returns the first frame from frame on, or the last one written,
	// at which a HoldAt that is called within a few milliseconds surely stops.
	CanHold(frame int64) (int64, error)
	// HoldAt is Hold at a frame, or as soon after it as can be.
	HoldAt(frame int64) (int64, error)
}

var (
	_ Timed = (*pulse)(nil)
	_ Timed = (*silent)(nil)
)
