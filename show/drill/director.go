package drill

import (
	"math"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// A View is what a Director needs to know of a run.
type View struct {
	State show.State
	Heard timebase.Frame
	Now   time.Time
}

// Never is the frame at which nothing is due.
const Never timebase.Frame = math.MaxInt64

// A Director says which steps of a drill are due, and when. It is a pure state
// machine: it reads no clock and does nothing by itself. The engine's loop tells
// it what the trainee did (Saw), asks what is due (Due), and on a clock of its own
// asks how far it may go (Next).
//
// Each step comes once in an exercise, never before its trigger, and the steps
// come in the order of the moments at which they were due, however often Due is
// asked, provided that it is asked between any two calls of Saw. Steps of one
// moment come in the order of the file, but for one that waits for another. When
// the run has been cut or has ended, only what follows the cut still comes.
//
// An exercise begins when the console opens, with what follows the opening, and
// each arming begins the rest of it afresh; in a drill that is started again after
// a cut the arming after the cut goes on with it (see restarts.go).
//
// A Director belongs to one goroutine.
type Director struct {
	steps  []Step
	frames []timebase.Frame // of the steps by music, Never for the others
	base   []int            // the step that step i waits for, -1 for none
	byCut  []bool           // whether step i follows, at however many removes, the cut
	byOpen []bool           // ... the opening of the console
	rate   int

	begun, over bool
	cut         bool                 // since the exercise began
	held        bool                 // the show
	stands      bool                 // a call to hold or cut, without an all-clear since
	asksHold    bool                 // some step calls for a hold or a cut
	again       bool                 // the drill is started again after a cut
	opened      time.Time            // the console; zero before
	saw         map[string]time.Time // the latest of what the trainee did
	runFrom     time.Time            // when the music last began to run
	stillFrom   time.Time            // when it last stopped
	closed      time.Time            // when the run was cut or ended; zero before
	came        []time.Time          // when step i was due; zero before
	ready       []int                // steps that came and were not handed out
}

// NewDirector returns the director of an exercise to music of rate frames a
// second. The console opens when Due is first asked.
func NewDirector(x *Exercise, rate int) *Director {
	d := &Director{steps: slices.Clone(x.Steps), rate: rate, again: restarts(x.Steps), saw: map[string]time.Time{}}
	if until := x.Drill.Until; until > 0 {
		d.steps = append(d.steps, Step{Name: overName, When: Trigger{From: until, To: until}, Do: Over, Chance: 1})
	}
	for i, s := range d.steps {
		frame := Never
		if s.When.After == "" {
			frame = timebase.FrameAt(s.When.From, rate)
		}
		d.frames = append(d.frames, frame)
		d.base = append(d.base, d.named(s.When.After))
		d.byCut = append(d.byCut, follows(d.steps, i, show.Cut.String()))
		d.byOpen = append(d.byOpen, follows(d.steps, i, afterOpening))
		d.asksHold = d.asksHold || s.stops()
	}
	d.came = make([]time.Time, len(d.steps))
	return d
}

func (d *Director) named(name string) int { return named(d.steps, name) }

// Saw tells the director of a transport's event and when it came. Events that
// drills know nothing of are ignored.
func (d *Director) Saw(kind show.EventKind, now time.Time) {
	d.open(now)
	d.settle(now)
	switch kind {
	case show.EventArmed, show.EventReentered:
		d.arm(now)
	case show.EventStarted:
		d.runFrom = now
		if d.did(show.Start.String(), now); d.cut {
			d.did(afterRestart, now)
		}
		d.begun = true
	case show.EventResumed:
		d.runFrom, d.held = now, false
		d.did(show.Resume.String(), now)
	case show.EventHeld:
		d.stillFrom, d.held = now, true
		if d.stands || !d.asksHold {
			d.did(show.Hold.String(), now)
		}
	case show.EventStoodDown:
		d.did(show.StandDown.String(), now)
	case show.EventCut:
		d.stillFrom, d.closed, d.held, d.cut = now, now, false, d.begun
		d.did(show.Cut.String(), now)
	case show.EventEnded:
		d.stillFrom, d.closed, d.cut = now, now, false
	}
}

// open takes note of when the console opened.
func (d *Director) open(now time.Time) {
	if d.opened.IsZero() {
		d.opened = now
		d.did(afterOpening, now)
	}
}

func (d *Director) did(what string, now time.Time) { d.saw[what] = now }

// arm begins the exercise afresh, or goes on with it after a cut. What follows the
// opening has come once and for all.
func (d *Director) arm(now time.Time) {
	if d.again && d.cut && !d.over {
		d.goOn(now)
		return
	}
	d.begun, d.over, d.cut, d.held, d.stands = false, false, false, false, false
	d.runFrom, d.stillFrom, d.closed = time.Time{}, time.Time{}, time.Time{}
	for i := range d.came {
		if !d.byOpen[i] {
			d.came[i] = time.Time{}
		}
	}
	d.ready = slices.DeleteFunc(d.ready, func(i int) bool { return !d.byOpen[i] })
	d.saw = map[string]time.Time{afterOpening: d.opened, show.Arm.String(): now}
}

// Due returns the steps that have become due, in order, each once. The step
// that ends the drill, whose Do is Over, is the last.
func (d *Director) Due(v View) []Step {
	d.open(v.Now)
	if d.over {
		return nil
	}
	d.cross(v)
	d.settle(v.Now)
	slices.SortStableFunc(d.ready, func(a, b int) int { return d.came[a].Compare(d.came[b]) })
	var due []Step
	for _, i := range d.ready {
		due = append(due, d.steps[i])
		if d.steps[i].Do == Over {
			d.end(v.Now)
			break
		}
	}
	d.ready = d.ready[:0]
	return due
}

// end lets nothing more come of this exercise, be it of before the arming.
func (d *Director) end(now time.Time) {
	d.over = true
	for i, open := range d.byOpen {
		if open && d.came[i].IsZero() {
			d.came[i] = now
		}
	}
}

// cross takes the steps whose moment of the music has been heard.
func (d *Director) cross(v View) {
	if !d.begun {
		return
	}
	for i, frame := range d.frames {
		if d.came[i].IsZero() && v.Heard >= frame {
			d.come(i, d.heardAt(frame, v))
		}
	}
}

// heardAt is when frame, which has been heard, was. The music has run from
// runFrom without a break, to now or to where it stopped.
func (d *Director) heardAt(frame timebase.Frame, v View) time.Time {
	to := v.Now
	if v.State != show.Running {
		to = d.stillFrom
	}
	at := to.Add(-(v.Heard - frame).At(d.rate))
	if at.Before(d.runFrom) {
		return d.runFrom
	}
	return at
}

// settle takes the steps by wall clock that are due by now, the earliest first:
// others may wait for it.
func (d *Director) settle(now time.Time) {
	for {
		next, first := -1, now
		for i := range d.steps {
			if at, ok := d.moment(i); ok && (at.Before(first) || next < 0 && at.Equal(now)) {
				next, first = i, at
			}
		}
		if next < 0 {
			return
		}
		d.come(next, first)
	}
}

// come takes step i. A show that is held already when a call to hold comes has been
// held for it.
func (d *Director) come(i int, at time.Time) {
	d.came[i] = at
	d.ready = append(d.ready, i)
	switch s := &d.steps[i]; {
	case s.stops():
		if d.stands = true; d.held {
			d.did(show.Hold.String(), at)
		}
	case s.Wants == WantResume || s.Wants == WantArm:
		d.stands = false
	}
}

// moment is when step i, which goes by the wall clock and has not come, will
// be due; ok is false when nobody knows yet, or it never will be.
func (d *Director) moment(i int) (at time.Time, ok bool) {
	if d.frames[i] != Never || !d.came[i].IsZero() {
		return at, false
	}
	from := d.saw[d.steps[i].When.After]
	if b := d.base[i]; b >= 0 {
		from = d.came[b]
	}
	if from.IsZero() {
		return at, false
	}
	at = from.Add(d.steps[i].When.From)
	late := !d.closed.IsZero() && at.After(d.closed)
	return at, !late || d.byCut[i] || d.byOpen[i]
}

// Next returns how far a run on a clock of its own may go before it must ask
// for what is due: the frame of the next step by music, Never if there is none,
// and the moment of the next by wall clock, zero if none is known. What is due
// already counts. A wait turned into frames must be rounded up, or the moment is
// never quite reached.
func (d *Director) Next() (frame timebase.Frame, at time.Time) {
	frame = Never
	if d.over {
		return frame, at
	}
	for i := range d.steps {
		if d.came[i].IsZero() {
			frame = min(frame, d.frames[i])
		}
		if m, ok := d.moment(i); ok && (at.IsZero() || m.Before(at)) {
			at = m
		}
	}
	for _, i := range d.ready {
		if at.IsZero() || d.came[i].Before(at) {
			at = d.came[i]
		}
	}
	return frame, at
}
