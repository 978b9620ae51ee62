package crew

import (
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
)

// waitOf is what is left of the waiting time before anybody goes in, and whether the show
// was made safe after it had been armed.
func waitOf(s *deck.Snapshot, now time.Time) (left time.Duration, made bool) {
	if s.Safe == nil || s.Safe.Since.IsZero() || s.Transport.State() != show.Safe {
		return 0, false
	}
	return s.Safe.Book.Left(now), true
}

// MadeSafe reports whether the show is safe after it had been armed: what was loaded
// then still is.
func (v *View) MadeSafe() bool {
	s := &v.State
	return !v.Lost && s.State == show.Safe.String() && (s.Made || s.Heard > 0)
}

// WasCut reports whether the run was cut: it was made safe before the music was over.
func (v *View) WasCut() bool {
	w := &v.Welcome
	return v.MadeSafe() && (w.Length <= 0 || timebase.Frame(v.State.Heard) < timebase.FrameAt(w.Length, max(1, w.Rate)))
}

// Enter says, to every role, that nobody goes into the field now, and for how long where
// that is known; empty: nothing forbids it but the shooter. A wait that is over lets nobody
// in by itself.
func (v *View) Enter() string {
	switch {
	case v.Over || v.Lost:
		return ""
	case v.State.State == show.Held.String():
		return "HELD IS NOT SAFE TO ENTER"
	case !v.MadeSafe():
		return ""
	}
	text := "NOBODY GOES IN before the shooter says so"
	if left := v.State.Wait - max(0, v.Silent); left > 0 {
		text = "NOBODY GOES IN for " + timebase.ClockUp(left)
	}
	if v.WasCut() {
		text = "CUT: " + text
	}
	return text
}
