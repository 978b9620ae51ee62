package deck

import (
	"fmt"
	"time"

	"drylane/playback/follow"
	"drylane/show"
	"drylane/show/timebase"
)

// NotOurs is what a person is told whose hold stops the cues alone.
const NotOurs = "the cues are held; the music is not ours, it plays on: ask for it to stop"

// sawLed takes down that a run that is led has been armed, and who held it.
func (d *Deck) sawLed(e show.Event) {
	l := d.led
	if l == nil {
		return
	}
	switch e.Kind {
	case show.EventArmed, show.EventReentered:
		l.waits, d.clock.led = false, d.clock.now == nil
	case show.EventHeld:
		l.same, l.own, l.willing = true, e.By != show.ByPlayer, false
		if !e.By.Machine() {
			d.say(Alarm, NotOurs)
		}
	case show.EventCut, show.EventEnded:
		l.willing, l.free = false, time.Time{}
	}
}

// keepHeld is a hold of what is held: from then on the player resumes it no more.
func (d *Deck) keepHeld() {
	if l := d.led; l != nil && d.t.State() == show.Held {
		l.own, l.willing = true, false
		d.say(Alarm, "held by you now: the music is not ours, and does not resume the cues any more")
	}
}

// ledGoes takes a start or a resume that a person asks for in a run that is led. done
// is false for all other commands.
func (d *Deck) ledGoes(c show.Command, stamp time.Time) (done bool) {
	l, s := d.led, d.t.State()
	if l == nil || !(c.Action == show.Start && s == show.Armed || c.Action == show.Resume && s == show.Held) {
		return false
	}
	at := d.t.Heard()
	switch {
	case !l.follows():
		d.refuseFor(c, show.CauseNotOurs, "cannot "+c.Action.String()+": "+show.CauseNotOurs.Sentence(0, 0))
	case d.mustNotGoOn(c):
	case d.tooLate(at):
		if !d.cannotGoElsewhere(c) && d.asksElsewhere(c, stamp, at) {
			d.goElsewhere(c, stamp)
		}
	case c.Action == show.Start: // it starts by itself, or could not
		if c.Anyway || l.place >= at {
			d.goOn(c, at)
		} else {
			d.say(Plain, "it starts with the music, in "+fmt.Sprintf("%.1f s", (at-l.place).At(d.plan.Rate).Seconds()))
		}
	case d.cannotGoOn(c), d.leavesOpen(&c, stamp):
	default:
		l.willing, l.agreed = true, c
		if l.place < at {
			d.say(Plain, "it resumes when the music is at "+d.moment(at)+", in "+fmt.Sprintf("%.1f s", (at-l.place).At(d.plan.Rate).Seconds()))
		}
	}
	return true
}

// A FollowNow is how the music stands that a run follows.
type FollowNow struct {
	Name  string
	Now   follow.Now
	Place timebase.Frame // of the music
	Late  bool           // it is further than the run can go on with by itself
	Gone  error          // why nothing comes in any more
	// By itself, while held: Own says that a person holds the cues, Willing that he has
	// agreed to go on when the music is at their place, Same that it runs on from there.
	Own, Willing, Same bool
}

// followNow is how the music stands; nil in a run that plays its own.
func (d *Deck) followNow() *FollowNow {
	l := d.led
	if l == nil {
		return nil
	}
	return &FollowNow{Name: l.Leader.Name(), Now: l.now, Place: l.place, Late: d.tooLate(d.t.Heard()), Gone: l.err, Own: l.own, Willing: l.willing, Same: l.same}
}
