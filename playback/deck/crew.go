package deck

import (
	"time"

	"drylane/show"
	"drylane/show/session"
)

// What others than the shooter ask of a run from machines of their own.

// CallHold holds the run for a member of the crew: one who calls for it, as by says, with
// a reason if there is one, or, by the engine and with the cause, one of whom nothing is
// heard. at is when that came in here, by this machine's clock: no other clock decides
// what a hold overrules. It returns at once. Safe to call from any goroutine.
func (d *Deck) CallHold(by show.By, member, reason string, cause show.Cause, at time.Time) {
	c := show.Command{Action: show.Hold, Member: member, Reason: reason, Cause: cause}
	d.inbox.put(request{do: show.ScriptAction{Command: c}, by: by, at: at, heard: d.Snapshot().HeardAt(at)})
}

// whyHeld says who called for a hold, and why.
func (d *Deck) whyHeld(e show.Event) string {
	c := show.Command{Action: show.Hold, Member: e.Member, Reason: e.Reason, Cause: e.Cause}
	if c.Cause == show.NoCause && c.Member == "" && (e.By == show.ByShooter || e.By == show.ByScript) {
		c.Member = "the shooter" // a script stands for one
	}
	return d.because(c)
}

// LogCrew logs something of the crew. What a member saw of a cue, with Saw, Cue and Index,
// is taken down as if it had been said at the console, with who said it: Commanded tells
// whether it can be said. It returns at once. Safe to call from any goroutine.
func (d *Deck) LogCrew(data session.Data) { d.inbox.put(request{crew: &data}) }

// forbidden refuses what starts or resumes the run when somebody of the crew does.
func (d *Deck) forbidden(c show.Command) bool {
	if d.cfg.Forbids == nil {
		return false
	}
	why := d.cfg.Forbids()
	if why == "" {
		return false
	}
	d.refuseFor(c, show.CauseCrewRefuses, "cannot "+c.Action.String()+": "+why)
	return true
}

// strikeOff has a member of the crew struck off; the crew logs what comes of it.
func (d *Deck) strikeOff(by show.By, name string) {
	if d.cfg.StrikeOff == nil {
		c := session.Data{Asked: "strike off", Text: "cannot strike off " + name + ": nobody else takes part"}
		d.refused++
		d.entryBy(by, session.KindRefused, c)
		d.say(Alarm, c.Text)
		return
	}
	d.cfg.StrikeOff(name)
}
