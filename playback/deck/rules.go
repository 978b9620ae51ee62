package deck

import (
	"strings"
	"time"

	"drylane/show"
)

// Rules of the show that are the same for a person and a script: what forbids
// arming, and the count-in before a resume.

// CountEvery is the length of one count before a resume.
const CountEvery = time.Second

// repeatWithin is how soon after the one before a command to resume is taken for
// the key repeating. A key that is held down repeats after 250 to 660 ms and then
// much faster (common defaults of terminals, no source).
const repeatWithin = 700 * time.Millisecond

// stops are what forbids arming now.
func (d *Deck) stops() []string {
	if d.cfg.Stops == nil {
		return nil
	}
	return d.cfg.Stops()
}

// CannotArm says what stops forbid.
func CannotArm(stops []string) string { return "cannot arm: " + strings.Join(stops, "; ") }

// arm arms the show unless something forbids it.
func (d *Deck) arm(c show.Command) {
	if stops := d.stops(); len(stops) > 0 && d.t.State() == show.Safe {
		d.refuse(c, CannotArm(stops))
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

// countOrResume begins the count-in of a resume. A second command cuts the count
// short; a hold or a cut ends it, and the show stays as it is.
func (d *Deck) countOrResume(c show.Command, stamp time.Time) {
	repeats := d.count.on() && stamp.Sub(d.count.asked) < repeatWithin
	d.count.asked = stamp
	switch {
	case d.cannotGoOn(c), d.failing(c), repeats:
	case d.count.on() || d.cfg.CountIn <= 0:
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
