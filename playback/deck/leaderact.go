package deck

import (
	"fmt"
	"time"

	"drylane/playback/follow"
	"drylane/show"
	"drylane/show/timebase"
)

// notOurs is what a person is told whose hold stops the cues alone.
const notOurs = "the cues are held; the music is not ours, it plays on: ask for it to stop"

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
			d.say(Alarm, notOurs)
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
	case l.late(at):
		if c.Anyway || d.asksElsewhere(c, stamp, at) {
			d.goElsewhere(c, stamp)
		}
	case c.Action == show.Start: // it starts by itself, or could not
		if c.Anyway || l.place >= at {
			d.goOn(c, at)
		} else {
			d.say(Plain, "it starts with the music, in "+fmt.Sprintf("%.1f s", (at-l.place).At(d.plan.Rate).Seconds()))
		}
	case d.leavesOpen(&c, stamp):
	default:
		l.willing, l.agreed = true, c
		if l.place < at {
			d.say(Plain, "it resumes when the music is at "+d.moment(at)+", in "+fmt.Sprintf("%.1f s", (at-l.place).At(d.plan.Rate).Seconds()))
		}
	}
	return true
}

// asksElsewhere refuses to go on where the music is until that is asked for again.
func (d *Deck) asksElsewhere(c show.Command, stamp time.Time, at timebase.Frame) (done bool) {
	return d.asksTwice(Again{Action: c.Action, Why: d.elsewhere(at)}, c.By, stamp,
		func(said string) { d.refuseFor(c, show.CauseElsewhere, said) })
}

// elsewhere says where the music is, where the show is, and what going on there leaves.
func (d *Deck) elsewhere(at timebase.Frame) string {
	e := d.t.EntryAt(d.led.place.At(d.plan.Rate), 0)
	loaded := fmt.Sprintf("%d cues stay loaded", len(e.Skipped))
	if len(e.Skipped) == 1 {
		loaded = "1 cue stays loaded"
	}
	tenths := func(f timebase.Frame) string { return timebase.ClockTenths(f.At(d.plan.Rate)) }
	return "music at " + tenths(d.led.place) + ", show at " + tenths(at) + "; " + loaded
}

// goElsewhere goes on from where the music is: a cut, a re-entry there and a start, so
// that what lies between is left out and stays loaded.
func (d *Deck) goElsewhere(c show.Command, stamp time.Time) {
	if d.failing(c) || d.somebodyOut(c) || d.inbox.stopWaits() {
		return
	}
	d.command(show.Command{Action: show.Cut, By: c.By, Reason: "to go on where the music is"}, d.t.Heard())
	d.arm(show.Command{Action: show.Reenter, By: c.By, From: d.led.place.At(d.plan.Rate), Anyway: true}, stamp)
	if d.t.State() == show.Armed {
		d.goOn(show.Command{Action: show.Start, By: c.By, Anyway: true}, d.t.Heard())
	}
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
	return &FollowNow{Name: l.Leader.Name(), Now: l.now, Place: l.place, Late: l.late(d.t.Heard()), Gone: l.err, Own: l.own, Willing: l.willing, Same: l.same}
}
