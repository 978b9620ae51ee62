package drill

import (
	"slices"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A run is one way through a drill, from arming to its end, as it is scored.
type run struct {
	plan    *show.Plan
	events  []event
	started time.Time // by the wall clock; zero if it was not
	// heard is how much music had been heard at the end.
	heard    timebase.Frame
	last     show.Transport // as it stood at the end
	finished bool
	ended    string // in words
	number   int    // among those of the session that were started
}

// An event is an entry of the log with what the transport knew then.
type event struct {
	*session.Entry
	did   bool // the entry answers act
	act   show.Action
	state show.State // afterwards
	// was and asked are the nudge before and afterwards.
	was, asked time.Duration
	// up is for how long what had been lit would still be up by the list: after a
	// hold, or before a resume.
	up time.Duration
	// t is the transport afterwards, where a group was stood down or brought back.
	t *show.Transport
}

// is reports whether the entry answers the action.
func (e *event) is(a show.Action) bool { return e.did && e.act == a }

// call reports whether the entry is a step of the drill.
func (e *event) call() bool { return e.Kind == session.KindDrill }

// outside reports whether the trainee did not ask: the engine had no sound to go on with,
// or a trainer called for it.
func (e *event) outside() bool { return e.did && e.By.Outside() }

// stands reports whether, before event i, a call stood to which a cut is a right
// answer: one to cut or to hold, unless it forbids to cut, that no all-clear has
// followed.
func (r *run) stands(d *Drill, i int) bool {
	stands := false
	for k := range r.events[:i] {
		switch e := &r.events[k]; {
		case e.wants(WantCut), e.wants(WantHold):
			stands = stands || !d.forbidsCut(e)
		case e.wants(WantResume), e.wants(WantArm):
			stands = false
		}
	}
	return stands
}

// forbidsCut reports whether the drill forbids to cut on a call.
func (d *Drill) forbidsCut(e *event) bool {
	i := named(d.Steps, e.Data.Step)
	return i >= 0 && d.Steps[i].NoCut
}

// wants reports whether the entry is a step that asks for w.
func (e *event) wants(w Want) bool { return e.call() && Want(e.Data.Wants) == w }

// stops reports whether the entry is a step that calls for a hold or a cut.
func (e *event) stops() bool { return e.wants(WantHold) || e.wants(WantCut) }

// does reports whether the entry is a step that does d.
func (e *event) does(d Deed) bool { return e.call() && Deed(e.Data.Do) == d }

// A runner goes through a log and keeps the run that is scored: a drill that was
// finished is not undone by arming once more and leaving.
type runner struct {
	drill *Drill
	run   *run    // the one that goes on; nil before the first arming
	over  bool    // ... is not scored any further
	open  []event // what came before an arming: steps of the drill that follow its opening, and what was done at the field board
	last  *run    // that was finished, or was started if none was
	count int
}

// lastRun returns the last run of the log that was finished, or else the last
// that was started.
func lastRun(log *session.Log, d *Drill) (*run, error) {
	r := runner{drill: d}
	closed := false
	for e, err := range log.Walk() {
		if err != nil {
			return nil, err
		}
		r.entry(e)
		closed = e.Kind == session.KindClosed
	}
	if r.last == nil {
		return nil, ErrNotStarted
	}
	if r.last.ended == "" {
		r.last.ended = "left"
		if log.Torn || !closed {
			r.last.ended = "the log breaks off"
		}
	}
	return r.last, nil
}

// entry takes the next entry into the run.
func (r *runner) entry(at *session.Replayed) {
	e := event{Entry: at.Entry, did: at.Did, act: at.Command.Action, was: at.Before.Asked(), asked: at.After.Asked(), state: at.After.State()}
	if e.act == show.Reenter { // an arming as well, for a start from a place
		e.act = show.Arm
	}
	switch {
	case !at.Did:
	case e.act == show.Arm && !r.goesOn():
		r.run, r.over = &run{plan: at.After.Plan(), events: slices.Clone(r.open)}, false
	case e.act == show.Hold:
		e.up = up(at.After, 0)
	case e.act == show.Resume:
		e.up = up(at.Before, max(0, at.Command.HeldFor))
	case e.act == show.StandDown, e.act == show.BringBack:
		copied := *at.After
		e.t = &copied
	}
	switch {
	case r.run != nil && !r.over:
		r.keep(e, at.After)
	case e.call() && r.opening(e.Data.Step), e.atBoard():
		r.open = append(r.open, e)
	}
}

// opening reports whether a step comes before the arming: what was said then holds
// for every run of the session.
func (r *runner) opening(step string) bool {
	i := named(r.drill.Steps, step)
	return i >= 0 && follows(r.drill.Steps, i, afterOpening)
}

// goesOn reports whether an arming goes on with a run that was cut, in a drill that
// is started again.
func (r *runner) goesOn() bool {
	return r.run != nil && !r.over && !r.run.started.IsZero() && restarts(r.drill.Steps)
}

// up is how long the last of what has been lit will still be up when the music
// has stood still for held.
func up(t *show.Transport, held time.Duration) time.Duration {
	if up := t.StillUp(held, nil); len(up) > 0 {
		return up[0].Clear.At(t.Plan().Rate)
	}
	return 0
}

// keep adds an event to the run and notices when the run is over.
func (r *runner) keep(e event, t *show.Transport) {
	heard := t.Heard()
	run := r.run
	run.events = append(run.events, e)
	run.heard, run.last = heard, *t
	if e.is(show.Start) && run.started.IsZero() {
		run.started = e.Wall
		r.count++
		run.number = r.count
		if r.last == nil || !r.last.finished {
			r.last = run
		}
	}
	if how := r.end(&e); how != "" {
		run.ended, r.over = how, true
		if run.finished {
			r.last = run
		}
	}
}

// end says how the event ends the run, or nothing.
func (r *runner) end(e *event) string {
	run := r.run
	until := timebase.FrameAt(r.drill.Until, run.plan.Rate)
	switch {
	case e.is(show.Cut) && restarts(r.drill.Steps) && !run.started.IsZero():
		return ""
	case e.is(show.Cut):
		// A cut ends the drill well where anything had called for one.
		run.finished = run.stands(r.drill, len(run.events)-1)
		return "cut"
	case run.started.IsZero():
		return ""
	case e.does(Over), r.drill.Until > 0 && run.heard >= until:
		run.finished = true
		return "run to its end"
	case e.state == show.Ended:
		run.finished = true
		return "played to the end"
	}
	return ""
}
