package show

import (
	"fmt"
	"slices"

	"drylane/show/timebase"
)

// A Transport runs a Plan against what has been heard of the music. It is a
// pure state machine: it reads no clock, file or device, and the same commands
// at the same frames give the same events, however often Advance is called in
// between.
//
// Cue i, ignited with no nudge at g, fires at the frame
//
//	h(i) = max(h(i-1), g - nudge in force when it was committed, floor)
//
// where floor is the edge of the guard at the moment that nudge was asked for:
// what a nudge makes overdue fires from there on, not in the past, and spread; see
// nudgeSpan. A cue is committed when its frame comes within the guard of now. From then on no nudge moves it; a
// hold, and only a hold, takes the commitment back. So every cue that is not
// stood down fires exactly once, in list order, never in the past; and none fires
// on the key that starts or resumes the run: its frame must be heard first.
//
// A copy of a Transport is a snapshot: it may be read on another goroutine
// while the original goes on.
type Transport struct {
	plan      *Plan
	state     State
	heard     timebase.Frame
	from      timebase.Frame // where it was last started or resumed
	next      int            // first cue that has neither fired nor been skipped
	begin     int            // first cue of the run; not 0 after a re-entry
	committed int            // first cue that is not committed; next <= committed
	lastBreak timebase.Frame
	stretch   timebase.Frame // how much later spreading can have made a cue

	// All slices are replaced, never written to, so that copies stay true.
	nudges []nudgeSpan
	holds  []holdSpan
	downs  []downSpan
	due    []int  // cues that were committed when the show was last held or cut
	isDown []bool // by group
	spent  []bool // cues that had fired when the run was last re-entered; nil: none
	out    []bool // cues that are no part of the run since then; nil: none
}

// A holdSpan is a hold that ended: cues before next had been fired by then.
type holdSpan struct {
	at     timebase.Frame
	next   int
	length timebase.Frame
}

// A downSpan says that group was stood down for cues from up to before to.
type downSpan struct {
	group, from, to int
}

// NewTransport returns a safe transport for the plan.
func NewTransport(p *Plan) *Transport {
	t := &Transport{plan: p}
	t.rewind()
	return t
}

func (t *Transport) rewind() {
	*t = Transport{plan: t.plan, isDown: make([]bool, len(t.plan.Groups))}
	t.setNudge(nudgeSpan{})
}

// Advance tells a running transport that the music has been heard up to, not
// including, frame heard. Events are appended to ev, which is returned. In any
// other state, and when heard is not ahead, nothing happens.
func (t *Transport) Advance(heard timebase.Frame, ev []Event) []Event {
	if t.state != Running {
		return ev
	}
	t.heard = max(t.heard, heard)
	ev = t.commit(ev)
	ev = t.fire(ev)
	if t.next == len(t.plan.Cues) && t.heard >= t.plan.Length && t.heard >= t.lastBreak {
		t.state = Ended
		ev = append(ev, Event{Kind: EventEnded, At: t.heard, Cue: -1})
	}
	return ev
}

// commit fixes the firing frames of all cues due within the guard.
func (t *Transport) commit(ev []Event) []Event {
	s := t.nudges[len(t.nudges)-1]
	edge := t.heard + t.plan.Guard
	for t.committed < len(t.plan.Cues) {
		at := s.fires(t.plan, t.committed)
		if at > edge {
			break
		}
		if !t.Down(t.committed) {
			ev = append(ev, Event{Kind: EventCommitted, At: at, Cue: t.committed, Effect: at + t.plan.Cues[t.committed].Prefire()})
		}
		t.committed++
	}
	return ev
}

// Waits reports that a running transport waits for its first sound: nothing has
// been heard since it was started or resumed, which takes as long as the device holds
// back.
func (t *Transport) Waits() bool { return t.state == Running && t.heard <= t.from }

// fire lets the committed cues go whose frame has been heard.
func (t *Transport) fire(ev []Event) []Event {
	if t.Waits() {
		return ev
	}
	for ; t.next < t.committed; t.next++ {
		at := t.FiresAt(t.next)
		if at > t.heard {
			break
		}
		if t.Out(t.next) {
			continue
		}
		e := Event{Kind: EventFired, At: at, Cue: t.next, Effect: at + t.plan.Cues[t.next].Prefire()}
		if t.Down(t.next) {
			e.Kind = EventSkipped
		} else {
			t.lastBreak = max(t.lastBreak, e.Effect)
		}
		ev = append(ev, e)
	}
	return ev
}

// A Refusal is the error of a command that cannot be taken in this state. Its
// text is for the shooter.
type Refusal struct {
	Command Command
	State   State
	Why     string
	Salvo   Salvo // that forbids it: more comes due at once than may, unasked
}

func (r *Refusal) Error() string { return r.Why }

// Do takes a command at the frame heard when it was given, which counts as no
// earlier than what Advance was last told. The run is advanced to that frame
// first. The error, if any, is a *Refusal, and then the command did nothing.
func (t *Transport) Do(c Command, heard timebase.Frame, ev []Event) ([]Event, error) {
	ev = t.Advance(heard, ev)
	if why := t.refuses(c); why != "" {
		return ev, &Refusal{Command: c, State: t.state, Why: why}
	}
	salvo := t.Salvo(c)
	if s, must := t.NeedsAnyway(c); must {
		return ev, &Refusal{c, t.state, fmt.Sprintf("cannot %s: %d cues would come due at once", c.Action, s.Cues), s}
	}
	switch c.Action {
	case Arm:
		t.rewind()
		t.state = Armed
		return append(ev, Event{Kind: EventArmed, Cue: -1, By: c.By}), nil
	case Start:
		t.state = Running
		ev = append(ev, Event{Kind: EventStarted, At: t.heard, Cue: -1, By: c.By, Salvo: salvo})
		return t.Advance(t.heard, ev), nil
	case Reenter:
		return t.reenter(c, ev), nil
	case Hold:
		return t.hold(c, ev), nil
	case Resume:
		return t.resume(c, salvo, ev), nil
	case Nudge:
		return t.nudge(c, salvo, ev), nil
	case StandDown:
		return t.standDown(c, ev), nil
	case BringBack:
		return t.bringBack(c, ev), nil
	case Cut:
		return t.cut(c, ev), nil
	default:
		t.state = Safe
		return append(ev, Event{Kind: EventReset, At: t.heard, Cue: -1, By: c.By}), nil
	}
}

// refuses says why c cannot be taken now, or nothing if it can.
func (t *Transport) refuses(c Command) string {
	in := func(states ...State) bool { return slices.Contains(states, t.state) }
	var ok bool
	switch c.Action {
	case Arm, Reenter:
		ok = in(Safe)
	case Start:
		ok = in(Armed)
	case Hold:
		ok = in(Running)
	case Resume:
		ok = in(Held)
	case Nudge, StandDown, BringBack, Cut:
		ok = in(Armed, Running, Held)
	case Reset:
		ok = in(Ended)
	}
	if !ok {
		return fmt.Sprintf("cannot %s: the show is %s", c.Action, t.state)
	}
	switch {
	case c.Action == Reenter && (c.From < 0 || timebase.FrameAt(c.From, t.plan.Rate) >= t.plan.Length || c.RunUp < 0):
		return "cannot re-enter there: the place is not in the music"
	case c.Action != StandDown && c.Action != BringBack:
		return ""
	}
	g := t.plan.Group(c.Group)
	switch {
	case g < 0:
		return fmt.Sprintf("cannot %s %q: no cue has that %s", c.Action, c.Group.Name, c.Group.By)
	case c.Action == StandDown && t.isDown[g]:
		return c.Group.Name + " is already stood down"
	case c.Action == BringBack && !t.isDown[g]:
		return c.Group.Name + " is not stood down"
	}
	return ""
}

// hold stops on the held frame and takes back every commitment beyond it.
func (t *Transport) hold(c Command, ev []Event) []Event {
	t.state = Held
	ev = append(ev, Event{Kind: EventHeld, At: t.heard, Cue: -1, By: c.By, Member: c.Member, Reason: c.Reason, Cause: c.Cause})
	ev = t.withdraw(ev)
	// Nothing stands committed now, so the latest nudge holds for all that is
	// to come, and the held frame is the earliest any of it can fire.
	last := t.nudges[len(t.nudges)-1]
	if last.from > t.next || last.floor > t.heard {
		last.floor = t.heard
		t.setNudge(last)
	}
	return ev
}

// withdraw takes back every commitment, and remembers which cues were due: what has
// been given to the field may go off all the same.
func (t *Transport) withdraw(ev []Event) []Event {
	t.due = nil
	for i := t.next; i < t.committed; i++ {
		if !t.Down(i) {
			t.due = append(t.due, i)
			ev = append(ev, Event{Kind: EventWithdrawn, At: t.heard, Cue: i})
		}
	}
	t.committed = t.next
	return ev
}

// resume goes on from the held frame. What was lit before the hold has burned
// on while the music stood still.
func (t *Transport) resume(c Command, salvo Salvo, ev []Event) []Event {
	t.state, t.from, t.due = Running, t.heard, nil
	ev = append(ev, Event{Kind: EventResumed, At: t.heard, Cue: -1, By: c.By, HeldFor: c.HeldFor, Open: c.Open, Salvo: salvo})
	span := holdSpan{at: t.heard, next: t.next, length: timebase.FrameAt(max(0, c.HeldFor), t.plan.Rate)}
	for i := range t.lit() {
		was := t.EffectAt(i)
		if was <= t.heard {
			continue
		}
		if now := was - span.length; now > t.heard {
			ev = append(ev, Event{Kind: EventMoved, At: t.heard, Cue: i, Effect: now})
		} else {
			ev = append(ev, Event{Kind: EventBroke, At: t.heard, Cue: i, Effect: t.heard})
		}
	}
	t.holds = append(slices.Clone(t.holds), span)
	return t.Advance(t.heard, ev)
}

// standDown takes effect at once, committed cues included: unlike a nudge it
// is asked for when something is wrong in the field.
func (t *Transport) standDown(c Command, ev []Event) []Event {
	g := t.plan.Group(c.Group)
	ev = append(ev, Event{Kind: EventStoodDown, At: t.heard, Cue: -1, By: c.By, Group: c.Group})
	for i := t.next; i < t.committed; i++ {
		if t.plan.In(i, g) && !t.Down(i) {
			ev = append(ev, Event{Kind: EventWithdrawn, At: t.heard, Cue: i})
		}
	}
	t.setDown(g, true)
	t.downs = append(slices.Clone(t.downs), downSpan{g, t.next, len(t.plan.Cues)})
	return ev
}

func (t *Transport) bringBack(c Command, ev []Event) []Event {
	g := t.plan.Group(c.Group)
	ev = append(ev, Event{Kind: EventBroughtBack, At: t.heard, Cue: -1, By: c.By, Group: c.Group})
	t.setDown(g, false)
	t.downs = slices.Clone(t.downs)
	for k := range t.downs {
		if d := &t.downs[k]; d.group == g && d.to > t.next {
			d.to = t.next
		}
	}
	for i := t.next; i < t.committed; i++ {
		if t.plan.In(i, g) && !t.Down(i) {
			at := t.FiresAt(i)
			ev = append(ev, Event{Kind: EventCommitted, At: at, Cue: i, Effect: at + t.plan.Cues[i].Prefire()})
		}
	}
	return ev
}

func (t *Transport) setDown(g int, down bool) {
	t.isDown = slices.Clone(t.isDown)
	t.isDown[g] = down
}

func (t *Transport) cut(c Command, ev []Event) []Event {
	was := t.state
	t.state = Safe
	ev = append(ev, Event{Kind: EventCut, At: t.heard, Cue: -1, By: c.By, Reason: c.Reason, Cause: c.Cause})
	if was != Running { // what was due at the hold before it still is
		return ev
	}
	return t.withdraw(ev)
}
