package show

import (
	"slices"
	"time"

	"drylane/show/timebase"
)

// A nudgeSpan is the nudge of the cues from From on, up to the next span.
//
// Cues of the span that are overdue when it begins, whose time in the list less the
// nudge is before the floor, do not fire on one frame: they come from start on in
// list order, Plan.Gap apart, and only what the list itself has on one frame stays
// together. Those behind them fire at their own time as soon as the overdue are
// through, and until then as near to each other as the plan lets them. So every frame
// is known without a look at the cues before it.
type nudgeSpan struct {
	from  int
	nudge time.Duration
	shift timebase.Frame // nudge in frames
	floor timebase.Frame // no cue of the span fires before it

	start  timebase.Frame // where its first overdue cue fires
	last   int            // its last overdue cue; if it has none the cue before it, -1 when none of the run is
	base   timebase.Frame // where cue last fires
	spread bool           // the list does not have all that is overdue on one frame
}

// fires returns the frame at which cue i of the span fires.
func (s *nudgeSpan) fires(p *Plan, i int) timebase.Frame {
	c := &p.Cues[i]
	if s.from <= i && i <= s.last {
		return s.start + timebase.Frame(c.rank-p.Cues[s.from].rank)*p.Gap
	}
	at := max(c.Ignite-s.shift, s.floor)
	switch {
	case s.last < 0:
	case s.spread:
		at = max(at, s.base+c.pace-p.Cues[s.last].pace)
	default:
		at = max(at, s.base+c.near-p.Cues[s.last].near)
	}
	return at
}

// over is how long the overdue cues of the span take, from the first to the last.
func (s *nudgeSpan) over() timebase.Frame {
	if s.last < s.from {
		return 0
	}
	return s.base - s.start
}

// spanOf completes s, of which nudge, shift and floor are known, as the nudge of
// every cue that is not committed.
func (t *Transport) spanOf(s nudgeSpan) nudgeSpan {
	p := t.plan
	s.from = t.committed
	s.start, s.last = s.floor, s.from-1
	if s.from > t.begin {
		s.base = t.FiresAt(s.last)
	} else {
		s.last = -1
	}
	due := p.IgnitesFrom(s.floor + s.shift)
	if s.spread = due > s.from && p.Cues[due-1].rank > p.Cues[s.from].rank; due <= s.from {
		return s
	}
	first := &p.Cues[s.from]
	switch before := s.from - 1; {
	case before < t.begin:
	case s.spread:
		s.start = max(s.start, s.base+min(p.Gap, first.Ignite-p.Cues[before].Ignite))
	default:
		s.start = max(s.start, s.base+first.near-p.Cues[before].near)
	}
	s.last = due - 1
	s.base = s.start + timebase.Frame(p.Cues[s.last].rank-first.rank)*p.Gap
	return s
}

// setNudge makes s, of which nudge, shift and floor are known, the nudge of every cue
// that is not committed.
func (t *Transport) setNudge(s nudgeSpan) {
	s = t.spanOf(s)
	keep := len(t.nudges)
	for keep > 0 && t.nudges[keep-1].from >= s.from {
		keep--
	}
	t.nudges = append(slices.Clone(t.nudges[:keep]), s)
	t.stretch += s.over()
}

// nudged is the span that a command to nudge leads to.
func (t *Transport) nudged(c Command) nudgeSpan {
	last, limit := t.nudges[len(t.nudges)-1], t.plan.NudgeLimit
	last.nudge = max(-limit, min(limit, last.nudge+c.Step))
	last.shift = timebase.FrameAt(last.nudge, t.plan.Rate)
	switch t.state {
	case Running:
		last.floor = max(last.floor, t.heard+t.plan.Guard)
	case Held:
		last.floor = max(last.floor, t.heard)
	}
	return last
}

func (t *Transport) nudge(c Command, salvo Salvo, ev []Event) []Event {
	s := t.nudged(c)
	t.setNudge(s)
	e := Event{Kind: EventNudged, At: t.heard, Cue: -1, By: c.By, Nudge: s.nudge}
	if t.state == Running { // otherwise it comes with the start or the resume
		e.Salvo = salvo
	}
	return append(ev, e)
}
