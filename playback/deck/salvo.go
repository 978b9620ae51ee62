package deck

import (
	"time"

	"drylane/show"
	"drylane/show/words"
)

// makesSalvo refuses a nudge or a start that makes more cues due at once than the show
// allows, until it is asked for again; then c.Anyway is set. A resume tells of them with
// what else it leaves open; a start where the music is leaves them out.
func (d *Deck) makesSalvo(c *show.Command, stamp time.Time) (refused bool) {
	salvo, many := d.t.NeedsAnyway(*c)
	if !many || c.Action == show.Resume || c.Action == show.Start && d.led != nil && d.tooLate(d.t.Heard()) {
		return false
	}
	c.Anyway = d.asksAgain(*c, stamp, d.would(salvo), salvo.Cues)
	return !c.Anyway
}

// would says what would come due at once.
func (d *Deck) would(s show.Salvo) string {
	return words.WouldBeDue(s.Cues, d.cfg.LogCues[s.First].ID, d.cfg.LogCues[s.Last].ID)
}

// saySalvo tells of the cues that a command has made due at once or, where the run
// stands still, that its start or its resume will.
func (d *Deck) saySalvo(e show.Event) {
	if s := e.Salvo; s.Cues > 0 {
		d.say(Alarm, words.Salvo(s.Cues, d.cfg.LogCues[s.First].ID, d.cfg.LogCues[s.Last].ID, s.Over.At(d.plan.Rate)))
		return
	}
	if c, ok := d.next(); ok && e.Kind == show.EventNudged {
		d.count.resume.Anyway = false // of what it was asked for, there may be more
		if s := d.t.Salvo(c); s.Cues > 0 {
			d.say(Plain, d.would(s)+" with the "+c.Action.String())
		}
	}
}
