package deck

import (
	"time"

	"drylane/show"
	"drylane/show/drift"
)

// A Follower counts the taps of a run as they come and says what those since
// the last nudge tell. It reckons anew when a tap comes, not at every look.
type Follower struct {
	Taps    int           // counted so far
	Nudge   time.Duration // of the last of them
	List    []Tap         // those with that nudge
	Report  drift.Report
	Outcome drift.Outcome

	run *drift.Running
}

// Update counts the taps in s that came since it was last called. tapper says
// how the person at the keys taps.
func (f *Follower) Update(s *Snapshot, cues []show.Cue, tapper drift.Config) {
	if len(s.Taps) < f.Taps { // armed anew
		*f = Follower{}
	}
	if len(s.Taps) == f.Taps {
		return
	}
	t := &s.Transport
	for _, era := range eras(s.Taps[f.Taps:]) {
		switch {
		case f.run == nil:
			f.run = drift.NewRunning(CuesInForce(t, cues), tapper)
		case era.Nudge != f.Nudge:
			f.run.Nudged(CuesInForce(t, cues))
			f.List = nil
		}
		f.Nudge = era.Nudge
		f.List = append(f.List, era.Taps...)
		for _, tap := range era.Taps {
			f.run.Tap(drift.Tap{Heard: tap.At.At(t.Plan().Rate)})
		}
	}
	f.Taps = len(s.Taps)
	f.Report, f.Outcome = f.run.Report(), f.run.Outcome()
}

// Words say what the taps tell while that nudge is asked for.
func (f *Follower) Words(asked time.Duration) string {
	switch {
	case f.Taps == 0:
		return "no taps yet"
	case f.Nudge != asked:
		return "tap again: the nudge is new"
	}
	return f.Report.Verdict.Text
}
