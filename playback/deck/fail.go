package deck

import "drylane/show"

// Fail tells the deck that the music can no longer be trusted, and the cause. A run
// that goes on is held, and none is started or resumed any more: what would be heard
// is not what the log says. Safe to call from any goroutine; the first cause stands.
func (d *Deck) Fail(why show.Cause) { d.inbox.put(request{failed: why}) }

// fail does what Fail asks for.
func (d *Deck) fail(why show.Cause) {
	if d.failed != show.NoCause {
		return
	}
	d.failed = why
	if d.t.State() != show.Running {
		d.say(Alarm, d.sentence(why))
		return
	}
	d.trouble = true
	d.holdNow(show.Command{Action: show.Hold, By: show.ByEngine, Cause: why})
}

// failing refuses to go on with music that cannot be trusted.
func (d *Deck) failing(c show.Command) bool {
	if d.failed == show.NoCause {
		return false
	}
	d.refuse(c, "cannot "+c.Action.String()+": "+d.sentence(d.failed)+"; open the show again")
	return true
}
