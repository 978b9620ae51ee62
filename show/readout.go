package show

import (
	"iter"
	"sort"
	"time"

	"drylane/show/timebase"
)

// Plan returns the plan that t runs.
func (t *Transport) Plan() *Plan { return t.plan }

// State returns what the run is doing.
func (t *Transport) State() State { return t.state }

// Heard returns how much of the music has been heard.
func (t *Transport) Heard() timebase.Frame { return t.heard }

// Next returns the first cue that has neither fired nor been skipped.
func (t *Transport) Next() int { return t.next }

// Committed returns the first cue that is not committed.
func (t *Transport) Committed() int { return t.committed }

// DueAtStop returns the cues that were committed and had not been heard when the
// show was last held or cut, in firing order; none once it runs again. They will not
// fire as committed, but what has been given to the field may go off all the same:
// they are to be treated as live. The slice is not to be written to.
func (t *Transport) DueAtStop() []int { return t.due }

// Asked returns the nudge that was last asked for; positive = cues earlier.
func (t *Transport) Asked() time.Duration { return t.nudges[len(t.nudges)-1].nudge }

// InForce returns the nudge of the next cue to fire. While it differs from
// what was asked for, after is the last cue that keeps it; otherwise -1.
func (t *Transport) InForce() (nudge time.Duration, after int) {
	last := t.nudges[len(t.nudges)-1]
	if last.from <= t.next {
		return last.nudge, -1
	}
	if s := t.span(t.next); s.nudge != last.nudge {
		return s.nudge, last.from - 1
	}
	return last.nudge, -1
}

// span returns the nudge of cue i.
func (t *Transport) span(i int) nudgeSpan {
	k := len(t.nudges) - 1
	if t.nudges[k].from > i {
		k = sort.Search(len(t.nudges), func(k int) bool { return t.nudges[k].from > i }) - 1
		k = max(k, 0) // before the place of a re-entry
	}
	return t.nudges[k]
}

// FiresAt returns the frame at which cue i fired, or will if no nudge comes.
func (t *Transport) FiresAt(i int) timebase.Frame {
	s := t.span(i)
	return s.fires(t.plan, i)
}

// EffectAt returns the frame of music at which the effect of cue i is seen, or
// will be if neither nudge nor hold comes. An effect that was seen while the
// music was held is placed on the held frame.
func (t *Transport) EffectAt(i int) timebase.Frame {
	return t.afterHolds(i, t.FiresAt(i)+t.plan.Cues[i].Prefire())
}

// SeenInHold reports whether the effect of cue i came while the music stood
// still, so that it belongs to no moment of the music.
func (t *Transport) SeenInHold(i int) bool {
	f := t.FiresAt(i) + t.plan.Cues[i].Prefire()
	for _, h := range t.holds {
		if h.next > i && f > h.at {
			if f -= h.length; f <= h.at {
				return true
			}
		}
	}
	return false
}

// ClearAt returns the frame of music at which cue i is out by the list, on the
// same terms as EffectAt.
func (t *Transport) ClearAt(i int) timebase.Frame {
	c := &t.plan.Cues[i]
	return t.afterHolds(i, t.FiresAt(i)+c.Prefire()+c.Burn)
}

// afterHolds moves f, a moment in the life of cue i, to where the music was at
// that moment: the holds since the cue fired took time but no music.
func (t *Transport) afterHolds(i int, f timebase.Frame) timebase.Frame {
	for _, h := range t.holds {
		if h.next > i && f > h.at {
			f = max(h.at, f-h.length)
		}
	}
	return f
}

// Down reports whether cue i is stood down, or out: the cue itself if it has yet to
// come, or how it was when it was skipped.
func (t *Transport) Down(i int) bool {
	if t.Out(i) {
		return true
	}
	if i >= t.next {
		for _, g := range t.plan.Cues[i].groups {
			if g >= 0 && t.isDown[g] {
				return true
			}
		}
		return false
	}
	for _, d := range t.downs {
		if d.from <= i && i < d.to && t.plan.In(i, d.group) {
			return true
		}
	}
	return false
}

// GroupDown reports whether group g is stood down now.
func (t *Transport) GroupDown(g int) bool { return t.isDown[g] }

// lit yields the cues, latest first, that have fired and are not yet out by the
// list at the last frame heard. The cost depends on how many cues there are
// within the longest life of an effect, not on the length of the list.
func (t *Transport) lit() iter.Seq[int] {
	return func(yield func(int) bool) {
		for i := t.next - 1; i >= 0; i-- {
			if t.FiresAt(i)+t.plan.MaxLife <= t.heard {
				return
			}
			if t.Down(i) || t.ClearAt(i) <= t.heard {
				continue
			}
			if !yield(i) {
				return
			}
		}
	}
}

// An Up is an effect that was lit and by the list is still burning or has yet to break.
type Up struct {
	Cue    int
	Effect timebase.Frame // frames from now until it breaks; zero or less: burning
	Clear  timebase.Frame // frames from now until it is out by the list
}

// StillUp appends to up the effects still up when the music has stood still
// for stopped (0 while it runs), the last to clear first.
func (t *Transport) StillUp(stopped time.Duration, up []Up) []Up {
	passed := t.heard + timebase.FrameAt(stopped, t.plan.Rate)
	for i := range t.lit() {
		if clear := t.ClearAt(i) - passed; clear > 0 {
			up = append(up, Up{i, t.EffectAt(i) - passed, clear})
		}
	}
	sort.SliceStable(up, func(a, b int) bool { return up[a].Clear > up[b].Clear })
	return up
}

// Holds returns how many holds the run has been resumed from, and how long
// they lasted together.
func (t *Transport) Holds() (n int, all time.Duration) {
	for _, h := range t.holds {
		all += h.length.At(t.plan.Rate)
	}
	return len(t.holds), all
}
