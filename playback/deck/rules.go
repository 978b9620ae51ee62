package deck

import (
	"strings"
	"time"

	"drylane/show"
)

// Rules of the show that are the same for a person and a script: what forbids
// arming, what a resume must not leave open unasked, and the count-in before it.

// CountEvery is the length of one count before a resume.
const CountEvery = time.Second

// repeatWithin is how soon after the one before a command to resume is taken for
// the key repeating. A key that is held down repeats after 250 to 660 ms and then
// much faster (common defaults of terminals, no source).
const repeatWithin = 700 * time.Millisecond

// stops are what forbids arming now.
func (d *Deck) stops() []string {
	out := d.whoIsOut()
	if d.cfg.Stops == nil {
		return out
	}
	return append(out, d.cfg.Stops()...)
}

// CannotArm says what stops forbid.
func CannotArm(stops []string) string { return "cannot arm: " + strings.Join(stops, "; ") }

// arm arms the show unless something forbids it. What forbids it stands before who is not
// go: nobody is asked twice for what cannot be had.
func (d *Deck) arm(c show.Command, stamp time.Time) {
	if d.t.State() == show.Safe && d.somebodyOut(c) {
		return
	}
	if stops := d.stops(); len(stops) > 0 && d.t.State() == show.Safe {
		d.refuse(c, CannotArm(stops))
		return
	}
	if d.notReady(&c, stamp) {
		return
	}
	d.command(c, d.t.Heard())
}

// A countIn is the time between the command to resume and the resume. The zero
// countIn counts nothing.
type countIn struct {
	resume show.Command
	until  time.Time
	asked  time.Time // when the latest resume was asked for, the key repeating included
}

func (k countIn) on() bool { return !k.until.IsZero() }

// leavesOpen refuses a resume with something up or not ticked, or with more cues due at
// once than the show allows, until it is asked for again; then c.Anyway is set.
func (d *Deck) leavesOpen(c *show.Command, stamp time.Time) bool {
	var why []string
	salvo, many := d.t.NeedsAnyway(*c)
	if many {
		why = append(why, d.would(salvo))
	}
	if open := d.waitedFor(); open.Any() {
		why = append(why, open.Words())
	}
	if len(why) == 0 || c.Anyway {
		return false
	}
	c.Anyway = d.asksAgain(*c, stamp, strings.Join(why, "; "), salvo.Cues)
	return !c.Anyway
}

// countOrResume begins the count-in of a resume. A second command cuts the count
// short; a hold or a cut ends it, and the show stays as it is.
func (d *Deck) countOrResume(c show.Command, stamp time.Time) {
	repeats := d.count.on() && stamp.Sub(d.count.asked) < repeatWithin
	d.count.asked = stamp
	switch {
	case d.cannotGoOn(c), d.mustNotGoOn(c), repeats:
	case d.count.on():
		c.Anyway = c.Anyway || d.count.resume.Anyway
		d.resume(c)
	case d.leavesOpen(&c, stamp):
	case d.cfg.CountIn <= 0:
		d.resume(c)
	default:
		d.count = countIn{c, d.clock.Now().Add(d.cfg.CountIn), stamp}
	}
}

// counted resumes when the count-in is over.
func (d *Deck) counted() {
	if d.count.on() && !d.clock.Now().Before(d.count.until) {
		d.resume(d.count.resume)
	}
}
