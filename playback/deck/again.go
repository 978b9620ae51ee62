package deck

import (
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/words"
)

// AgainWithin is how soon a command that was refused for the number of cues it would
// make due at once, or a resume for what it would leave open, must be asked for a
// second time, to be taken all the same.
const AgainWithin = 3 * time.Second

// An again is a command that may be asked for a second time. The zero again is none.
type again struct {
	command show.Command
	told    show.Salvo
	left    string    // by a resume, in words; empty when it leaves nothing open
	at      time.Time // when it was last asked for, the key repeating included
	said    string
}

// is reports whether c is the same ask.
func (a *again) is(c show.Command) bool {
	return !a.at.IsZero() && c.Action == a.command.Action && c.Step == a.command.Step
}

// An Open is a resume that was refused for what it leaves open, and is done when it is
// asked for again by Until. The zero Open is none.
type Open struct {
	Left  string // in words
	Until time.Time
}

// open is what a snapshot tells of it.
func (a *again) open() Open {
	if a.left == "" {
		return Open{}
	}
	return Open{a.left, a.at.Add(AgainWithin)}
}

// askAgain refuses a command, asked for at time stamp, that makes more cues due at once
// than the show allows, or resumes with something up or unticked, until it is asked for
// a second time; then c.Anyway is set. A key that is held down does not ask twice; nor
// does whoever was told of many fewer cues than it has become. Whatever else is done or
// stops meanwhile, a hold above all, ends it.
func (d *Deck) askAgain(c *show.Command, stamp time.Time) (refused bool) {
	if c.Action == show.Resume && d.count.on() { // it has been asked for, and is only hurried
		c.Anyway = c.Anyway || d.count.resume.Anyway
	}
	before := d.again
	salvo, many := d.t.NeedsAnyway(*c)
	left := d.wouldLeave(*c)
	asks := many || left != ""
	since := stamp.Sub(before.at)
	same := before.is(*c) && since <= AgainWithin && salvo.Cues <= before.told.Cues+d.plan.Together
	switch {
	case asks && same && since < repeatWithin:
		d.again.at = stamp
		return true
	case asks && !same:
		d.again = again{command: *c, told: salvo, left: left, at: stamp}
		cause := show.CauseOpen
		if many {
			cause = show.CauseTogether
		}
		d.again.said = d.wouldBoth(left, salvo, many) + d.lets(*c, left != "")
		d.refuseFor(*c, cause, d.again.said)
		return true
	}
	d.endAgain()
	c.Anyway = c.Anyway || asks
	return false
}

// wouldLeave says what a resume would leave up or unticked; empty for nothing, and
// where it is not taken for another reason, or has been asked for.
func (d *Deck) wouldLeave(c show.Command) string {
	if c.Action != show.Resume || d.t.State() != show.Held || c.Anyway || d.count.on() || d.failed != show.NoCause || d.t.Heard() >= d.musicEnd {
		return ""
	}
	open := d.leftOpen(d.clock.Now().Sub(d.since))
	open.Count = "" // asking again would not help against that
	return open.Words()
}

// wouldBoth says all that is to be asked for again.
func (d *Deck) wouldBoth(left string, salvo show.Salvo, many bool) string {
	switch {
	case !many:
		return left
	case left == "":
		return d.would(salvo)
	}
	return left + "; " + d.would(salvo)
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

// lets says what lets a refused command be done all the same, and how. What matters
// comes first: on a narrow screen the rest is cut off.
func (d *Deck) lets(c show.Command, open bool) string {
	what := fmt.Sprintf("to let them come %.2f s apart", d.plan.Gap.At(d.plan.Rate).Seconds())
	if open {
		what = "to resume all the same"
	}
	if c.By == show.ByScript {
		return `: say "anyway" ` + what
	}
	return fmt.Sprintf(": press again within %d s %s", int(AgainWithin.Seconds()), what)
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
