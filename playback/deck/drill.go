package deck

import (
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Director says what goes wrong in a run: a drill's. It is asked from the
// deck's own loop and must not wait for anything.
type Director interface {
	// Saw tells of what the run did.
	Saw(k show.EventKind, now time.Time)
	// Due returns the steps that are due, each once.
	Due(v drill.View) []drill.Step
	// Next returns when the next step is due, as the run stands: the frame of
	// music or the wall time. drill.Never and zero when there is no such step.
	Next() (timebase.Frame, time.Time)
}

// A RadioCall is a message from the field.
type RadioCall struct {
	At         time.Time
	From, Text string
}

// Instruct does a step that a trainer asks for; from says for the log who does, and when
// by what clock. It returns at once. Safe to call from any goroutine.
func (d *Deck) Instruct(s drill.Step, from session.Data) {
	d.inbox.put(request{step: &s, crew: &from, at: d.clock.stamp()})
}

func (d *Deck) view() drill.View {
	return drill.View{State: d.t.State(), Heard: d.t.Heard(), Now: d.clock.Now()}
}

// direct does the steps of the drill that are due.
func (d *Deck) direct() {
	if d.cfg.Director == nil {
		return
	}
	for _, s := range d.cfg.Director.Due(d.view()) {
		d.drillStep(show.ByEngine, s, session.Data{})
	}
}

// nextDue returns the frame at which, in a running show, the next step is
// due, and the wall time at which one is; drill.Never and zero when none is.
func (d *Deck) nextDue() (timebase.Frame, time.Time) {
	if d.cfg.Director == nil {
		return drill.Never, time.Time{}
	}
	f, at := d.cfg.Director.Next()
	if !at.IsZero() { // a frame more, or the moment is never quite reached
		f = min(f, d.t.Heard()+timebase.FrameAt(at.Sub(d.clock.Now()), d.plan.Rate)+1)
	}
	return f, at
}

// drillStep logs a step, with who asked for it, and does it.
func (d *Deck) drillStep(by show.By, s drill.Step, who session.Data) {
	g := groupOf(s)
	d.entryBy(by, session.KindDrill, session.Data{Step: s.Name, Do: string(s.Do), From: s.From, Text: s.Text,
		Wants: string(s.Wants), GroupBy: g.By, Name: g.Name, Late: d.lateIDs(s),
		Member: who.Member, Role: who.Role, When: who.When, BoundNS: who.BoundNS})
	d.perform(s)
}

// groupOf is the group that a step is about.
func groupOf(s drill.Step) show.Group {
	if s.Wants == drill.WantStandDown {
		return s.Of
	}
	return s.Group
}

// endDrill makes the show safe: what the trainee does from here on is another
// run.
func (d *Deck) endDrill() {
	d.over = true
	c := show.Command{Action: show.Cut, By: show.ByEngine, Cause: show.CauseDrillOver}
	if s := d.t.State(); s != show.Safe && s != show.Ended {
		d.run(c, d.clock.Now(), d.t.Heard())
	}
	d.say(Alarm, d.because(c))
}

// rearm makes everything whole for another run.
func (d *Deck) rearm() {
	d.faults, d.over, d.unheard, d.late = drill.Faults{}, false, [2]float64{}, nil
}
