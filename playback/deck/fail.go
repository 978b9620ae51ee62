package deck

import "drylane/show"

// Fail tells the deck that the music can no longer be trusted; why is a sentence
// for the shooter. A run that goes on is held, and none is started or resumed any
// more: what would be heard is not what the log says. Safe to call from any
// goroutine; the first reason stands.
func (d *Deck) Fail(why string) { d.inbox.put(request{failed: why}) }

// fail does what Fail asks for.
func (d *Deck) fail(why string) {
	if d.failed != "" {
		return
	}
	d.failed = why
	if d.t.State() != show.Running {
		d.say(Alarm, why)
		return
	}
	d.trouble = true
	d.holdNow(why)
}

// failing refuses to go on with music that cannot be trusted.
func (d *Deck) failing(c show.Command) bool {
	if d.failed == "" {
		return false
	}
	d.refuse(c, "cannot "+c.Action.String()+": "+d.failed+"; open the show again")
	return true
}
