package deck

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// To go on where the music is that somebody else plays, a run is cut, re-entered there
// and started. Nothing is cut before all is known that could refuse one of the three, and
// before all has been asked that is asked for twice.

// cannotGoElsewhere refuses to go on where the music is, where a re-entry there, or what
// comes after it, would be refused.
func (d *Deck) cannotGoElsewhere(c show.Command) (refused bool) {
	stops, place := d.stops(), d.led.place
	switch {
	case d.against(c):
	case len(stops) > 0:
		d.refuse(c, "cannot "+c.Action.String()+": "+strings.Join(stops, "; "))
	case place >= d.plan.Length:
		d.refuse(c, fmt.Sprintf("cannot %s: music at %s, the show ends at %s; cut", c.Action, d.tenths(place), d.tenths(d.plan.Length)))
	default:
		return false
	}
	d.endAgain() // the question would hide the refusal
	return true
}

// asksElsewhere refuses to go on where the music is until that is asked for again, and
// says all that this leaves open. Who agrees does so to no more than he was told: not to
// a place further on, nor to one where the show was to resume at its own.
func (d *Deck) asksElsewhere(c show.Command, stamp time.Time, at timebase.Frame) (done bool) {
	if c.Anyway {
		return true
	}
	if d.led.place > d.again.upTo {
		d.endAgain()
	}
	upTo := d.led.place + timebase.FrameAt(againWithin, d.plan.Rate)
	why := []string{d.loadedUpTo(upTo)} // first what stands nowhere else on a small screen
	if missing := d.ready.missing(); len(missing) > 0 {
		why = append(why, d.ready.noGoFrom(missing))
	}
	if open := d.waitedFor(); c.Action == show.Resume && open.Any() {
		why = append(why, open.Words())
	}
	why = append(why, "music at "+d.tenths(d.led.place)+", show at "+d.tenths(at))
	return d.asksTwice(Again{Action: c.Action, Why: strings.Join(why, "; "), upTo: upTo}, c.By, stamp,
		func(said string) { d.refuseFor(c, show.CauseElsewhere, said) })
}

// loadedUpTo says how many cues stay loaded at the most where the run goes on before the
// music is at upTo: it plays on while that is asked.
func (d *Deck) loadedUpTo(upTo timebase.Frame) string {
	switch n := len(d.t.EntryAt(upTo.At(d.plan.Rate), 0).Skipped); n {
	case 0:
		return "no cue stays loaded"
	case 1:
		return "up to 1 cue stays loaded"
	default:
		return fmt.Sprintf("up to %d cues stay loaded", n)
	}
}

func (d *Deck) tenths(f timebase.Frame) string { return timebase.ClockTenths(f.At(d.plan.Rate)) }

// goElsewhere goes on from where the music is: a cut, a re-entry there and a start, so
// that what lies between is left out and stays loaded. Whoever has said go is go still.
func (d *Deck) goElsewhere(c show.Command, stamp time.Time) {
	if d.noDevice(c) {
		return
	}
	if err := d.seek(d.led.place); err != nil {
		d.refuse(c, err.Error())
		return
	}
	if d.inbox.stopWaits() { // it came while the device was being opened
		d.overrule(c)
		return
	}
	d.command(show.Command{Action: show.Cut, By: c.By, Cause: show.CauseGoesOnThere}, d.t.Heard())
	d.arm(show.Command{Action: show.Reenter, By: c.By, From: d.led.place.At(d.plan.Rate), Anyway: true}, stamp)
	if d.t.State() == show.Armed {
		d.goOn(show.Command{Action: show.Start, By: c.By, Anyway: true}, d.t.Heard())
	}
}
