package deck

import (
	"drylane/show"
	"drylane/show/session"
)

// lookIdle asks after the device while the show is armed or held: that it has gone
// must be known before the start that needs it.
func (d *Deck) lookIdle() {
	if s := d.t.State(); d.out == nil || d.cfg.Now == nil || s != show.Armed && s != show.Held {
		return
	}
	_, err := d.out.Heard()
	if err == nil {
		return
	}
	d.out.Close()
	d.out, d.count = nil, countIn{}
	said := outputSaid(err)
	d.entry(session.KindDevice, session.Data{Cause: causeOf(err), Error: said})
	why := d.sentence(causeOf(err))
	if said != "" {
		why += ": " + said
	}
	d.say(Alarm, why)
}
