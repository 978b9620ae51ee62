package drill

import (
	"fmt"
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
	// up is for how long what had been lit would still be in the sky: after a
	// hold, or before a resume.
	up time.Duration
	// t is the transport afterwards, where a group was stood down or brought back.
	t *show.Transport
}

// is reports whether the entry answers the action.
func (e *event) is(a show.Action) bool { return e.did && e.act == a }

// call reports whether the entry is a step of the drill.
func (e *event) call() bool { return e.Kind == session.KindDrill }

// machine reports whether nobody asked: the engine had no sound to go on with.
func (e *event) machine() bool { return e.did && e.By == show.ByEngine }

// wants reports whether the entry is a step that asks for w.
func (e *event) wants(w Want) bool { return e.call() && Want(e.Data.Wants) == w }

// does reports whether the entry is a step that does d.
func (e *event) does(d Deed) bool { return e.call() && Deed(e.Data.Do) == d }

// A runner replays a log and keeps the run that is scored: a drill that was
// finished is not undone by arming once more and leaving.
type runner struct {
	drill *Drill
	t     *show.Transport
	ev    []show.Event
	run   *run // the one that goes on; nil before the first arming
	over  bool // ... is not scored any further
	last  *run // that was finished, or was started if none was
	count int
}

// lastRun returns the last run of the log that was finished, or else the last
// that was started.
func lastRun(log *session.Log, d *Drill) (*run, error) {
	if _, err := session.Replay(log); err != nil {
		return nil, err
	}
	r := runner{drill: d, t: show.NewTransport(log.Header.Plan())}
	for i := range log.Entries {
		if err := r.entry(&log.Entries[i]); err != nil {
			return nil, fmt.Errorf("event %d: %w", log.Entries[i].N, err)
		}
	}
	if r.last == nil {
		return nil, ErrNotStarted
	}
	if r.last.ended == "" {
		r.last.ended = "left"
		if log.Torn || len(log.Entries) == 0 || log.Entries[len(log.Entries)-1].Kind != session.KindClosed {
			r.last.ended = "the log breaks off"
		}
	}
	return r.last, nil
}

// entry takes the next entry through the transport and into the run.
func (r *runner) entry(entry *session.Entry) error {
	e := event{Entry: entry, was: r.t.Asked()}
	at := timebase.Frame(entry.Heard)
	if entry.Kind != session.KindTap && entry.Kind != session.KindCall {
		// Those two are stamped with an estimate that may run ahead of what the
		// device turns out to have played.
		r.ev = r.t.Advance(at, r.ev[:0])
	}
	if err := r.command(&e, at); err != nil {
		return err
	}
	e.asked, e.state = r.t.Asked(), r.t.State()
	if r.run != nil && !r.over {
		r.keep(e)
	}
	return nil
}

// command gives the transport the command that the entry answers, if any.
func (r *runner) command(e *event, at timebase.Frame) error {
	c, ok := session.CommandOf(*e.Entry, e.was)
	if !ok {
		return nil
	}
	if c.Action == show.Resume {
		e.up = r.up(max(0, c.HeldFor))
	}
	var err error
	if r.ev, err = r.t.Do(c, at, r.ev[:0]); err != nil {
		return err
	}
	e.did, e.act = true, c.Action
	switch c.Action {
	case show.Arm:
		r.run, r.over = &run{plan: r.t.Plan()}, false
	case show.Hold:
		e.up = r.up(0)
	case show.StandDown, show.BringBack:
		copied := *r.t
		e.t = &copied
	}
	return nil
}

// up is how long the last of what has been lit will still be up when the music
// has stood still for held.
func (r *runner) up(held time.Duration) time.Duration {
	if up := r.t.StillUp(held, nil); len(up) > 0 {
		return up[0].Clear.At(r.t.Plan().Rate)
	}
	return 0
}

// keep adds an event to the run and notices when the run is over.
func (r *runner) keep(e event) {
	run := r.run
	run.events = append(run.events, e)
	run.heard = r.t.Heard()
	if e.is(show.Start) {
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
	case e.is(show.Cut):
		// A cut ends the drill well where one was asked for.
		for i := range run.events {
			run.finished = run.finished || run.events[i].wants(WantCut)
		}
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
