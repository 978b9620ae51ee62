package report

import (
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// From rebuilds the last run of the session that was started; if none was, the
// run has no events and Started is false. The error says where the log
// contradicts itself.
func From(log *session.Log) (*Run, error) {
	runs, err := All(log)
	if err != nil {
		return nil, err
	}
	return runs[len(runs)-1], nil
}

// All rebuilds every run of the session that was started, in order. If none
// was there is one run, not started.
func All(log *session.Log) ([]*Run, error) {
	b := builder{log: log, plan: log.Header.Plan(), seats: map[string]*seat{}}
	b.t = show.NewTransport(b.plan)
	b.begin()
	for e, err := range log.Walk() {
		if err != nil {
			return nil, err
		}
		b.entry(e)
	}
	b.end()
	var err error
	if b.run.Field, err = log.Field(); err != nil {
		return nil, err
	}
	if b.run.Ready, err = log.Ready(); err != nil {
		return nil, err
	}
	if b.run.Safe, err = log.MadeSafe(); err != nil {
		return nil, err
	}
	b.run.Crew = log.Crew()
	if len(b.runs) == 0 {
		return []*Run{b.run}, nil
	}
	for i, r := range b.runs {
		r.Field, r.Ready, r.Safe, r.Crew = b.run.Field, b.run.Ready, b.run.Safe, b.run.Crew
		r.Number, r.Of = i+1, len(b.runs)
	}
	return b.runs, nil
}

// A builder takes down what a Run holds as a log is replayed.
type builder struct {
	log  *session.Log
	plan *show.Plan
	t    *show.Transport // as it stands
	runs []*Run

	run       *Run
	started   bool
	nudge     []time.Duration // of each cue, when it was committed
	committed int             // cues that were, when the entry before came
	moved     map[int]bool
	heldAt    time.Time        // wall time of the hold that is open
	prompt    string           // the last note or call
	asked     time.Time        // ... and when it was
	last      time.Time        // wall time of the last entry
	seats     map[string]*seat // of the crew's listeners, by name
}

// begin starts a run afresh, as arming does.
func (b *builder) begin() {
	var before []Mark // what was noted since the last run, or the beginning
	if b.run != nil && !b.started {
		before = b.run.Marks
	}
	b.run = &Run{Header: b.log.Header, Plan: b.plan, Torn: b.log.Torn, Marks: before}
	b.started = false
	b.nudge, b.committed = make([]time.Duration, len(b.plan.Cues)), 0
	b.moved = map[int]bool{}
	b.heldAt, b.asked, b.prompt = time.Time{}, time.Time{}, ""
}

func (b *builder) entry(e *session.Replayed) {
	b.t = e.Before
	b.commit(e.Before)
	if e.Did && (e.Command.Action == show.Arm || e.Command.Action == show.Reenter) {
		b.end()
		b.begin()
	}
	b.t = e.After
	b.commit(e.After)
	for _, ev := range e.Events {
		if ev.Kind == show.EventMoved || ev.Kind == show.EventBroke {
			b.moved[ev.Cue] = true
		}
	}
	b.last = e.Wall
	b.note(e.Entry, e.Before.Asked())
}

// commit takes down the nudge of the cues that t has committed.
func (b *builder) commit(t *show.Transport) {
	for i := b.committed; i < t.Committed(); i++ {
		b.nudge[i] = t.Asked()
	}
	b.committed = t.Committed()
}

// note takes down an entry. was is the nudge before it.
func (b *builder) note(e *session.Entry, was time.Duration) {
	r, at := b.run, timebase.Frame(e.Heard)
	switch e.Kind {
	case show.EventStarted.String():
		b.started = true
		b.salvo(e)
	case show.EventHeld.String():
		b.hold(e)
	case show.EventResumed.String():
		if n := len(r.Holds); n > 0 {
			h := &r.Holds[n-1]
			h.Length, h.Open, h.Left = max(0, time.Duration(e.Data.HeldNS)), false, e.Data.Open()
		}
		b.salvo(e)
	case show.EventNudged.String():
		if now := b.t.Asked(); now != was {
			r.Nudges = append(r.Nudges, Nudge{at, was, now})
		}
		b.salvo(e)
	case session.KindCrew:
		b.crew(&e.Data)
	case session.KindTap:
		r.Taps = append(r.Taps, Tap{at, b.t.Asked()})
	case session.KindUnderrun:
		r.Underruns++
		b.mark(e, "the sound ran dry")
	case session.KindNote:
		b.prompt, b.asked = b.words(e), e.Wall
		b.mark(e, b.prompt)
	case session.KindCall:
		b.prompt, b.asked = "called "+show.Clean(e.Data.Call), e.Wall
		b.mark(e, e.Data.Call)
	case session.KindOutput, session.KindDevice, session.KindListening, session.KindSilent, session.KindSecond, session.KindFollowed,
		session.KindAnswered, session.KindEntered, session.KindMarked, session.KindSentOut, session.KindBack, session.KindRefused, show.EventCut.String():
		b.mark(e, b.words(e))
	case session.KindSaid:
		of := "cue " + e.Data.Cue
		if e.Data.Cue == "" {
			of = e.Data.Name
		}
		b.mark(e, of+": "+b.words(e))
	case show.EventReentered.String():
		if e.Data.At != nil {
			b.mark(e, "goes on at "+timebase.ClockMillis(timebase.Frame(*e.Data.At).At(b.plan.Rate)))
		}
	case show.EventStoodDown.String(), show.EventBroughtBack.String():
		b.mark(e, e.Data.GroupBy+" "+e.Data.Name)
	case session.KindClosed:
		r.Closed = true
	}
}

func (b *builder) words(e *session.Entry) string { return e.Words(b.plan.Rate, b.plan.Length) }

func (b *builder) mark(e *session.Entry, text string) {
	b.run.Marks = append(b.run.Marks, Mark{timebase.Frame(e.Heard), e.Kind, show.Clean(text)})
}

// salvo takes down what came due at once.
func (b *builder) salvo(e *session.Entry) {
	if e.Data.Salvo != nil {
		b.mark(e, b.words(e))
	}
}

// promptReach is how long before a hold a note or call may be for the hold to
// be the answer to it.
const promptReach = 10 * time.Second

func (b *builder) hold(e *session.Entry) {
	h := Hold{Heard: timebase.Frame(e.Heard), By: e.By, Reason: b.words(e), Open: true}
	since := e.Wall.Sub(b.asked)
	if b.prompt != "" && since >= 0 && since <= promptReach && !h.By.Outside() { // which answers nothing
		h.Prompt, h.Reaction = b.prompt, since
		b.prompt = "" // one hold answers it
	}
	b.heldAt = e.Wall
	b.run.Holds = append(b.run.Holds, h)
}

// end completes the run as the transport has it now, and keeps it if it was
// started.
func (b *builder) end() {
	r := b.run
	r.State, r.Heard = b.t.State(), b.t.Heard()
	if n := len(r.Holds); n > 0 && r.Holds[n-1].Open {
		r.Holds[n-1].Length = max(0, b.last.Sub(b.heldAt))
	}
	r.Cues = make([]CueRun, len(b.plan.Cues))
	for i := range r.Cues {
		r.Cues[i] = b.cue(i)
	}
	if b.started {
		b.runs = append(b.runs, r)
	}
}

func (b *builder) cue(i int) CueRun {
	p := &b.plan.Cues[i]
	c := CueRun{CueLine: clean(b.log.Header.Cues[p.List]), Listed: p.Effect, Nudge: b.nudge[i], Down: b.t.Down(i) && !b.t.Out(i), Moved: b.moved[i],
		Due: b.t.EffectAt(i), InHold: b.t.SeenInHold(i)}
	if i >= b.t.Committed() {
		c.Nudge = b.t.Asked()
	}
	switch {
	case b.t.Out(i) && b.t.Fired(i):
		c.Ending = Before
	case b.t.Out(i):
		c.LeftOut = true
	case i >= b.t.Next():
	case c.Down:
		c.Ending = Skipped
	default:
		c.Ending = Fired
		c.Late = b.t.FiresAt(i) + p.Prefire() - c.InForce(b.plan.Rate)
	}
	return c
}

// clean makes the texts of a cue fit to be shown.
func clean(c session.CueLine) session.CueLine {
	c.ID, c.Position, c.Module, c.Effect = show.Clean(c.ID), show.Clean(c.Position), show.Clean(c.Module), show.Clean(c.Effect)
	return c
}
