package deck

import (
	"time"

	"drylane/show"
)

// againWithin is for how long something that was refused once is done when it is
// asked for again.
const againWithin = 3 * time.Second

// An Again is something that is done only when it is asked for a second time. The
// zero Again is nothing.
type Again struct {
	Action show.Action
	Why    string    // it was refused at first
	Until  time.Time // when it is forgotten

	step  time.Duration // of a nudge
	cues  int           // that would have come due at once by it
	said  string
	asked time.Time // when it was last asked for, the key repeating included
}

func (a *Again) on() bool { return !a.Until.IsZero() }

// is reports whether c is the same ask.
func (a *Again) is(c show.Command) bool { return a.on() && a.Action == c.Action && a.step == c.Step }

// asksAgain refuses c for the reason why, and returns false, unless the same was
// asked for not long before. A key that repeats has not been pressed twice, nor has
// anybody agreed to many more than the cues that he was told of. A hold, a cut or
// another command in between voids the first time.
func (d *Deck) asksAgain(c show.Command, stamp time.Time, why string, cues int) (done bool) {
	was := &d.again
	if was.is(c) && stamp.Before(was.Until) && cues <= was.cues+d.plan.Together {
		if stamp.Sub(was.asked) < repeatWithin {
			was.asked = stamp
			return false
		}
		d.endAgain()
		return true
	}
	how := "asked for again within 3 s it is done all the same"
	if c.By == show.ByScript {
		how = `"anyway" behind it does it all the same`
	}
	said := "cannot " + c.Action.String() + " yet: " + why + "; " + how
	d.again = Again{c.Action, why, stamp.Add(againWithin), c.Step, cues, said, stamp}
	cause := show.NoCause
	if cues > 0 {
		cause = show.CauseTogether
	}
	d.refuseFor(c, cause, said)
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
