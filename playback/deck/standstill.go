package deck

import (
	"fmt"
	"time"

	"drylane/playback"
	"drylane/show/timebase"
)

// longestSilence is how long a device may stand still with frames to play before
// it counts as silent.
const longestSilence = 300 * time.Millisecond

// longestLook bounds what a single look adds to a standstill. If this computer
// looked away for longer, and the device is found to have stood still, that says
// nothing of the device; nor does a clock that was set.
const longestLook = 100 * time.Millisecond

// settles is how long a device that has just been opened may take until it plays
// on without a stop. PulseAudio's virtual device, which has 2 s of silence
// rendered ahead, was found to stand still for up to 1.97 s.
const settles = 2500 * time.Millisecond

// A standstill watches for a device that has frames to play and plays none. One
// that ran dry had nothing to play, and is no case of it.
type standstill struct {
	settled time.Time      // what it did before says nothing
	at      timebase.Frame // heard, when it was last looked at
	looked  time.Time
	silent  time.Duration // for how long it has stood at that frame
	may     time.Duration // ... and may
}

// opened says that the device has just been opened.
func (s *standstill) opened(now time.Time) { s.settled = now.Add(settles) }

// ranDry says that the device has run dry: with a long latency that gap is yet to
// be heard, and is none of the device's.
func (s *standstill) ranDry(now time.Time, latency time.Duration) {
	if until := now.Add(latency); until.After(s.settled) {
		s.settled = until
	}
}

// begin watches from a start at frame at, after which the first frame may take
// until it is heard.
func (s *standstill) begin(now time.Time, at timebase.Frame, until time.Duration) {
	*s = standstill{settled: s.settled, at: at, looked: now, may: until + longestSilence}
}

// look reports whether the device has been silent for too long: at is what has
// been heard, of what was rendered.
func (s *standstill) look(now time.Time, at, rendered timebase.Frame) bool {
	passed := min(max(0, now.Sub(s.looked)), longestLook)
	s.looked = now
	switch {
	case at != s.at:
		s.at, s.silent, s.may = at, 0, longestSilence
	case at >= rendered, now.Before(s.settled):
		s.silent = 0
	default:
		s.silent += passed
	}
	return s.silent > s.may
}

// standing reports whether the device seems to stand still just now: what it says
// of when a frame sounds is nothing to go by.
func (s *standstill) standing() bool { return s.silent > longestSilence/10 }

// isSuspended says of a device why it is silent.
const isSuspended = "is suspended"

// suspended reports whether an output's device has been put to sleep.
func suspended(out playback.Output) bool {
	s, ok := within(out).(playback.Suspendable)
	return ok && s.Suspended()
}

// silent is the error of an output that has stood still for too long.
func silent(out playback.Output) error {
	why := fmt.Sprintf("it has played nothing for %.1f s", longestSilence.Seconds())
	if suspended(out) {
		why = "it " + isSuspended
	}
	return fmt.Errorf("%w: %s", playback.ErrDeviceSilent, why)
}
