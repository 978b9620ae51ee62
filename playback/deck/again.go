package deck

import (
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// againWithin is for how long something that was refused once is done when it is
// asked for again.
const againWithin = 3 * time.Second

// An Again is something that is done only when it is asked for a second time. The
// zero Again is nothing.
type Again struct {
	Action show.Action
	Enter  string    // who is to go into the field, where it is that and no Action
	Why    string    // it was refused at first
	Until  time.Time // when it is forgotten

	step  time.Duration  // of a nudge
	from  time.Duration  // of a re-entry
	cues  int            // that would have come due at once by it
	upTo  timebase.Frame // where the music may be, in one that goes on there; 0 in any other
	said  string
	asked time.Time // when it was last asked for, the key repeating included
}

func (a *Again) on() bool { return !a.Until.IsZero() }

// is reports whether c is the same ask.
func (a *Again) is(c show.Command) bool {
	return a.same(Again{Action: c.Action, step: c.Step, from: c.From, upTo: a.upTo})
}

func (a *Again) same(b Again) bool {
	return a.on() && a.Action == b.Action && a.Enter == b.Enter && a.step == b.step && a.from == b.from && (a.upTo > 0) == (b.upTo > 0)
}

// word is the word for what is asked.
func (a *Again) word() string {
	if a.Enter != "" {
		return "enter"
	}
	return a.Action.String()
}

// asksAgain is asksTwice for a command that leaves something open, or makes so many cues
// due at once.
func (d *Deck) asksAgain(c show.Command, stamp time.Time, why string, cues int) (done bool) {
	cause := show.NoCause
	if cues > 0 {
		cause = show.CauseTogether
	}
	return d.asksTwice(Again{Action: c.Action, Why: why, step: c.Step, from: c.From, cues: cues}, c.By, stamp,
		func(said string) { d.refuseFor(c, cause, said) })
}

// asksTwice lets refuse say why a is not done, and returns false, unless the same was
// asked for not long before. A key that repeats has not been pressed twice, nor has
// anybody agreed to many more than the cues that he was told of. A hold, a cut or
// another command in between voids the first time.
func (d *Deck) asksTwice(a Again, by show.By, stamp time.Time, refuse func(said string)) (done bool) {
	was := &d.again
	if was.same(a) && stamp.Before(was.Until) && a.cues <= was.cues+d.plan.Together {
		if stamp.Sub(was.asked) < repeatWithin {
			was.asked = stamp
			return false
		}
		d.endAgain()
		return true
	}
	how := "asked for again within 3 s it is done all the same"
	if by == show.ByScript {
		how = `"anyway" behind it does it all the same`
	}
	a.said = "cannot " + a.word() + " yet: " + a.Why + "; " + how
	a.asked, a.Until = stamp, stamp.Add(againWithin)
	d.again = a
	refuse(a.said)
	return false
}

// lapse ends a shooter's ask for which it is too late to be repeated.
func (d *Deck) lapse() {
	if d.again.on() && d.cfg.Script == nil && !d.clock.Now().Before(d.again.Until) {
		d.endAgain()
	}
}

// endAgain forgets what may be asked for again, and takes down what was said of it.
func (d *Deck) endAgain() {
	if d.again.on() && d.message.Text == d.again.said {
		d.message = Message{}
	}
	d.again = Again{}
}

// askedLately is what waits to be asked for again, at time now.
func (d *Deck) askedLately(now time.Time) Again {
	if d.again.on() && now.Before(d.again.Until) {
		return d.again
	}
	return Again{}
}
