package deck

import (
	"time"

	"drylane/show"
)

// A stop always wins: nothing that was asked for before a hold or a cut may take
// effect after it. When in doubt a start is lost, never a stop.

// stops keeps what the run has to know of the holds and cuts so far.
type stops struct {
	last time.Time // when the latest was asked for, or done by the engine
	// lost is what was said of what the stop to be taken next has overruled, won
	// the same of the one that is being taken; empty when there is no such thing.
	lost, won string
}

// at notes a stop that was asked for at time t.
func (s *stops) at(t time.Time) {
	if t.After(s.last) {
		s.last = t
	}
}

// goesOn reports whether a command lets the run go on, or changes what it will do
// when it does, so that a stop must not be followed by it.
func goesOn(a show.Action) bool {
	switch a {
	case show.Arm, show.Reenter, show.Start, show.Resume, show.Nudge, show.BringBack:
		return true
	}
	return false
}

// overruled notes a stop that was asked for at time stamp. Of any other command it
// says whether a stop has been asked for after it, taken already or still in the
// inbox; then the command is refused.
func (d *Deck) overruled(c show.Command, stamp time.Time) bool {
	if isStop(c) {
		d.stopped.at(stamp)
		d.stopped.won, d.stopped.lost = d.stopped.lost, ""
		return false
	}
	if !goesOn(c.Action) || !d.stopAfter(stamp) {
		return false
	}
	d.overrule(c)
	return true
}

// stopAfter reports whether what was asked for at time stamp came before a stop: a go is
// then of before it, and nobody enters a field that was live when he asked.
func (d *Deck) stopAfter(stamp time.Time) bool {
	return stamp.Before(d.stopped.last) || d.inbox.stopWaits()
}

// overrule refuses a command because of a stop.
func (d *Deck) overrule(c show.Command) {
	why := "cannot " + c.Action.String() + ": " + show.CauseOverruled.Sentence(0, 0)
	if d.inbox.stopWaits() {
		d.stopped.lost = why
	}
	d.refuseFor(c, show.CauseOverruled, why)
}

// standsStill reports whether a hold has nothing to hold and is right all the
// same: it keeps a hold from ending, it overruled a start, or it is the program's
// own, which holds whatever may run.
func (d *Deck) standsStill(c show.Command) bool {
	switch d.t.State() {
	case show.Running:
		return false
	case show.Held:
		return true
	}
	return d.stopped.won != "" || c.Cause == show.CauseSuspended
}
