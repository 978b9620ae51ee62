package show

import (
	"time"

	"drylane/show/timebase"
)

// DefaultTogether is how many cues a nudge may make due at once, beyond what the
// list itself fires together, before it is asked for again.
const DefaultTogether = 6

// AnyTogether, in a Console, is the rule of session logs that know of no limit:
// whatever a nudge makes due fires at once, on one frame.
const AnyTogether = -1

// leastGap is the least time between two cues that come due at once, unless the list
// itself has them nearer (common practice, no source).
const leastGap = 50 * time.Millisecond

// A Salvo is the cues that come due at once, because a nudge has made them overdue.
// The zero Salvo is none; cues that the list itself has on one frame are none either.
type Salvo struct {
	Cues        int            // how many; those that are stood down are left out
	First, Last int            // indices into Plan.Cues
	Listed      int            // the most of them that the list itself fires on one frame
	Over        timebase.Frame // from where the first fires to where the last does
}

// NeedsAnyway returns the salvo that a command lets go and reports whether it is so
// many cues that the command is refused unless it says Anyway. A nudge of a run that
// stands still lets nothing go: its start or its resume will.
func (t *Transport) NeedsAnyway(c Command) (Salvo, bool) {
	if t.refuses(c) != "" || c.Action == Nudge && (t.state != Running || t.nudged(c).nudge <= t.Asked()) {
		return Salvo{}, false
	}
	s := t.Salvo(c)
	return s, !c.Anyway && t.plan.Gap > 0 && s.Cues-s.Listed > t.plan.Together
}

// Salvo returns the cues that come due at once if a command to nudge, start or resume
// is taken now; after a nudge of a run that stands still, those that its start or
// resume will let go. Its cost depends on how many there are.
func (t *Transport) Salvo(c Command) Salvo {
	switch c.Action {
	case Nudge:
		s := t.spanOf(t.nudged(c))
		return t.salvoOf(&s, s.floor)
	case Start, Resume:
		return t.salvoOf(&t.nudges[len(t.nudges)-1], t.heard)
	}
	return Salvo{}
}

// Spreading returns the salvo that is on its way: those of its cues that have yet to
// fire.
func (t *Transport) Spreading() Salvo {
	if t.state != Running {
		return Salvo{}
	}
	s := &t.nudges[len(t.nudges)-1]
	return t.salvoOf(s, max(s.floor, t.heard))
}

// salvoOf counts the cues of a span that have yet to fire and whose time, less the
// nudge, is before due.
func (t *Transport) salvoOf(s *nudgeSpan, due timebase.Frame) (v Salvo) {
	p := t.plan
	together, at := 0, timebase.Frame(0)
	for i := max(s.from, t.next); i < len(p.Cues) && p.Cues[i].Ignite-s.shift < due; i++ {
		if t.Down(i) {
			continue
		}
		if c := &p.Cues[i]; v.Cues == 0 || c.Ignite != at {
			together, at = 0, c.Ignite
		}
		if v.Cues == 0 {
			v.First = i
		}
		v.Cues++
		together++
		v.Last, v.Listed = i, max(v.Listed, together)
	}
	if v.Cues == v.Listed { // the list itself puts them together
		return Salvo{}
	}
	v.Over = s.fires(p, v.Last) - s.fires(p, v.First)
	return v
}
