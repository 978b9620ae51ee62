package deck

import (
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/words"
)

// AgainWithin is how soon a command that was refused for the number of cues it would
// make due at once must be asked for a second time, to be taken all the same.
const AgainWithin = 3 * time.Second

// An again is a command that may be asked for a second time. The zero again is none.
type again struct {
	command show.Command
	told    show.Salvo
	at      time.Time // when it was last asked for, the key repeating included
	said    string
}

// is reports whether c is the same ask.
func (a *again) is(c show.Command) bool {
	return !a.at.IsZero() && c.Action == a.command.Action && c.Step == a.command.Step
}

// askAgain refuses a command, asked for at time stamp, that makes more cues due at once
// than the show allows, until it is asked for a second time; then c.Anyway is set. A
// key that is held down does not ask twice; nor does whoever was told of many fewer
// cues than it has become. Whatever else is done or stops meanwhile, a hold above all,
// ends it.
func (d *Deck) askAgain(c *show.Command, stamp time.Time) (refused bool) {
	if c.Action == show.Resume && d.count.on() { // it has been asked for, and is only hurried
		c.Anyway = c.Anyway || d.count.resume.Anyway
	}
	before := d.again
	salvo, many := d.t.NeedsAnyway(*c)
	since := stamp.Sub(before.at)
	same := before.is(*c) && since <= AgainWithin && salvo.Cues <= before.told.Cues+d.plan.Together
	switch {
	case many && same && since < repeatWithin:
		d.again.at = stamp
		return true
	case many && !same:
		d.again = again{*c, salvo, stamp, d.would(salvo) + d.lets(*c)}
		d.refuseFor(*c, show.CauseTogether, d.again.said)
		return true
	}
	d.endAgain()
	c.Anyway = c.Anyway || many
	return false
}

// lapse ends a shooter's ask for which it is too late to be repeated.
func (d *Deck) lapse() {
	if a := &d.again; !a.at.IsZero() && a.command.By != show.ByScript && d.clock.Now().Sub(a.at) > AgainWithin {
		d.endAgain()
	}
}

// endAgain forgets what may be asked for again, and takes down what was said of it.
func (d *Deck) endAgain() {
	if d.again.said != "" && d.message.Text == d.again.said {
		d.message = Message{}
	}
	d.again = again{}
}

// would says what would come due at once.
func (d *Deck) would(s show.Salvo) string {
	return words.WouldBeDue(s.Cues, d.cfg.LogCues[s.First].ID, d.cfg.LogCues[s.Last].ID)
}

// lets says what lets the cues of a refused command come all the same, and how. What
// matters comes first: on a narrow screen the rest is cut off.
func (d *Deck) lets(c show.Command) string {
	apart := fmt.Sprintf("to let them come %.2f s apart", d.plan.Gap.At(d.plan.Rate).Seconds())
	if c.By == show.ByScript {
		return `: say "anyway" ` + apart
	}
	return fmt.Sprintf(": press again within %d s %s", int(AgainWithin.Seconds()), apart)
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
