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
	asked  time.Time // when it was last asked for, the key repeating included
}

func (a Again) on() bool { return !a.Until.IsZero() }

// asksAgain refuses c for the reason why, and returns false, unless the same was
// asked for not long before. A key that repeats has not been pressed twice, and a
// hold or a cut in between voids the first time.
func (d *Deck) asksAgain(c show.Command, stamp time.Time, why string) (done bool) {
	was := d.again
	if was.on() && was.Action == c.Action && stamp.Before(was.Until) {
		if stamp.Sub(was.asked) < repeatWithin {
			d.again.asked = stamp
			return false
		}
		d.again = Again{}
		return true
	}
	d.again = Again{Action: c.Action, Why: why, Until: stamp.Add(againWithin), asked: stamp}
	how := "asked for again within 3 s it is done all the same"
	if c.By == show.ByScript {
		how = show.Quote(c.Action.String()+" anyway") + " does it all the same"
	}
	d.refuse(c, "cannot "+c.Action.String()+" yet: "+why+"; "+how)
	return false
}

// askedLately is what waits to be asked for again, at time now.
func (d *Deck) askedLately(now time.Time) Again {
	if d.again.on() && now.Before(d.again.Until) {
		return d.again
	}
	return Again{}
}
