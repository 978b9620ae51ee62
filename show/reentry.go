package show

import (
	"slices"
	"time"

	"drylane/show/timebase"
)

// reenter makes ready for a start from a chosen place. What has fired stays fired,
// through any number of re-entries, until the show is armed afresh; what has not, and is
// seen before the place or would have to ignite before the music begins, is out: it does
// not fire, and is still loaded. The nudge and what is stood down stay as they were.
func (t *Transport) reenter(c Command, ev []Event) []Event {
	p, n := t.plan, t.nudges[len(t.nudges)-1]
	from, start := timebase.FrameAt(c.From, p.Rate), timebase.FrameAt(max(0, c.From-c.RunUp), p.Rate)
	next := &Transport{plan: p, state: Armed, heard: start, from: start, isDown: t.isDown, spent: make([]bool, len(p.Cues)), out: make([]bool, len(p.Cues))}
	next.next = p.IgnitesFrom(start + n.shift)
	next.begin, next.committed = next.next, next.next
	for i := range p.Cues {
		c1 := &p.Cues[i]
		next.spent[i] = t.Fired(i)
		next.out[i] = next.spent[i] || i < next.next || c1.Effect-n.shift < from
	}
	for g, down := range t.isDown {
		if down {
			next.downs = append(next.downs, downSpan{g, next.next, len(p.Cues)})
		}
	}
	next.setNudge(nudgeSpan{nudge: n.nudge, shift: n.shift, floor: start})
	*t = *next
	return append(ev, Event{Kind: EventReentered, At: start, Cue: -1, Effect: from, By: c.By})
}

// Reentered reports whether the run began at a chosen place, after a cut.
func (t *Transport) Reentered() bool { return t.spent != nil }

// Out reports whether cue i is no part of the run, since it was re-entered: it had fired
// before, or its time lies before the place.
func (t *Transport) Out(i int) bool { return t.out != nil && t.out[i] }

// Fired reports whether cue i has fired since the show was last armed afresh, re-entries
// included.
func (t *Transport) Fired(i int) bool {
	if t.spent != nil && t.spent[i] {
		return true
	}
	return i < t.next && !t.Down(i)
}

// Loaded appends to list the cues that have not fired and, as things stand, will not: they
// were passed over by a re-entry, or their time came while they were stood down; once the
// run is over, whatever has not fired. They are still loaded in the field and to be
// treated as live.
func (t *Transport) Loaded(list []int) []int {
	over := t.state == Safe || t.state == Ended
	for i := range t.plan.Cues {
		if (over || i < t.next || t.Out(i)) && !t.Fired(i) {
			list = append(list, i)
		}
	}
	return list
}

// An Entry tells what a re-entry at a place would do.
type Entry struct {
	From, Start timebase.Frame // the place, and where the music begins
	Skipped     []int          // that would be passed over and stay loaded, in firing order
	Fires       int            // how many would fire
	First       timebase.Frame // until the first of them fires, from Start; with Fires
}

// EntryAt tells what a re-entry with such a run-up would do now. It is meant for a run
// that is over: what is committed or on its way counts as not fired.
func (t *Transport) EntryAt(from, runUp time.Duration) Entry {
	c := *t
	ev := c.reenter(Command{Action: Reenter, From: from, RunUp: runUp}, nil)
	e := Entry{From: ev[0].Effect, Start: c.heard}
	first := -1
	for i := range c.plan.Cues {
		switch {
		case c.Fired(i):
		case c.Out(i):
			e.Skipped = append(e.Skipped, i)
		case !c.Down(i):
			if first < 0 {
				first = i
			}
			e.Fires++
		}
	}
	e.Skipped = slices.Clip(e.Skipped)
	if first >= 0 {
		e.First = c.FiresAt(first) - c.heard
	}
	return e
}
