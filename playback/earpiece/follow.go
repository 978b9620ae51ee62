package earpiece

import (
	"time"

	"drylane/playback/crew"
)

// A follow decides from what is known of the run whether this machine is to sound.
type follow struct {
	known  bool
	called [2]int    // HOLDs of the crew, and of this machine, that were seen
	since  time.Time // the last of them; zero once the run has told of its hold
	last   int64     // the frame heard while the run last stood still
	stood  bool      // ... which it has
}

// heldWithin is how long a HOLD silences this machine without a word of the run: one
// that the run did not take, as it was no longer running, is over then.
const heldWithin = 500 * time.Millisecond

// wants reports whether this machine is to sound.
func (f *follow) wants(v *crew.View) bool {
	called := [2]int{v.State.Calls, v.Called}
	if f.known && (called[0] > f.called[0] || called[1] > f.called[1]) {
		f.since = v.Wall
	}
	f.known, f.called = v.Came, called
	_, runs := v.SoundsAt(v.Wall)
	if !runs {
		if v.Came && !v.Lost && !v.Running() {
			f.since, f.stood, f.last = time.Time{}, true, v.State.Heard
		}
		return false
	}
	if !f.since.IsZero() && v.Wall.Sub(f.since) < heldWithin {
		return false
	}
	f.since = time.Time{}
	return true
}

// from is the first frame that may sound after a start which would begin here with
// that place: the one at which the lead began, where that has been seen, and none before
// the music.
func (f *follow) from(place float64, rate int) float64 {
	if ahead := float64(f.last) - place; f.stood && ahead > 0 && ahead < float64(rate) {
		return float64(f.last)
	}
	return max(place, 0)
}
