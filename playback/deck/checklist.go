package deck

import (
	"time"

	"drylane/show"
	"drylane/show/session"
)

// tick ticks the next line of the hold checklist, or all that are left. Each is
// logged: a debrief counts from when the last one was.
func (d *Deck) tick(by show.By, all bool) {
	if d.t.State() != show.Held {
		d.say(Plain, "the checklist is ticked in a hold")
		return
	}
	for list := d.cfg.Checklist; d.ticked < len(list); {
		d.ticked++
		d.entryBy(by, session.KindTicked, session.Data{Count: d.ticked, Text: list[d.ticked-1]})
		if !all {
			return
		}
	}
}

// leftOpen is what a resume would leave open when the show has been held for held.
func (d *Deck) leftOpen(held time.Duration) show.Open {
	unknown := d.t.Unknown(held)
	open := show.Open{Unticked: len(d.cfg.Checklist) - d.ticked, Unknown: unknown,
		Up: unknown + len(d.t.StillUp(held, nil))}
	if d.cfg.Unheard != nil {
		open.Silent = d.cfg.Unheard()
	}
	if d.cfg.Asks != nil {
		open.Asks = d.cfg.Asks()
	}
	if d.cfg.Calls != nil {
		if count, ok := d.cfg.Calls.InCount(d.t); ok {
			open.Count = count.Cue
		}
	}
	return open
}

// waitedFor is what a resume now would leave open, but for what nobody could wait for.
func (d *Deck) waitedFor() show.Open {
	open := d.leftOpen(d.clock.Now().Sub(d.since))
	open.Count = ""
	return open
}
