package tui

import (
	"fmt"
	"math"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/tui/deck"
)

// A driftView is what the console shows of the taps since the last nudge. It
// is made anew when a tap comes, not for every frame.
type driftView struct {
	taps    int           // counted so far
	nudge   time.Duration // of the last of them
	list    []deck.Tap    // those with that nudge
	plan    *show.Plan
	run     *drift.Running
	rep     drift.Report
	outcome drift.Outcome
}

// update counts the taps that came since it was last called.
func (v *driftView) update(m *Console) {
	taps := m.snap.Taps
	if len(taps) < v.taps { // armed anew
		*v = driftView{}
	}
	if len(taps) == v.taps {
		return
	}
	t := &m.snap.Transport
	v.plan = m.Plan
	for _, tap := range taps[v.taps:] {
		switch {
		case v.run == nil:
			v.run = drift.NewRunning(deck.CuesInForce(t, m.Show.Cues), m.Tapper)
			v.list = nil
		case tap.Nudge != v.nudge:
			v.run.Nudged(deck.CuesInForce(t, m.Show.Cues))
			v.list = nil
		}
		v.nudge = tap.Nudge
		v.list = append(v.list, tap)
		v.run.Tap(drift.Tap{Heard: tap.At.At(m.Plan.Rate)})
	}
	v.taps = len(taps)
	v.rep, v.outcome = v.run.Report(), v.run.Outcome()
}

// short is the drift in one line.
func (v *driftView) short(asked time.Duration) (string, Style) {
	if v.taps == 0 {
		return "no taps yet", Quiet
	}
	if v.nudge != asked {
		return "tap again: the nudge is new", Caution
	}
	style := Normal
	switch v.rep.Verdict.Code {
	case drift.Nudge, drift.LaneApart, drift.RateWrong:
		style = NudgeOn
	case drift.InPlace:
		style = Good
	}
	return v.rep.Verdict.Text, style
}

// draw draws the taps over show time, and what they say.
func (v *driftView) draw(m *Console, c *canvas, r rect) {
	r = heading(c, r, "drift: "+tapCount(v.taps))
	if v.taps == 0 {
		c.text(r.x, r.y, r.w, fmt.Sprintf("%s on each accent you hear, as it sounds", m.Keys.Name(ActTap)), Quiet)
		return
	}
	text, style := v.short(m.snap.Transport.Asked())
	say := func(s string, style Style) {
		for _, l := range wrap(s, r.w) {
			if r.h > 0 {
				c.text(r.x, r.y, r.w, l, style)
				r.y, r.h = r.y+1, r.h-1
			}
		}
	}
	say(text, style)
	if v.outcome.Code != drift.NoNudgeYet {
		say(v.outcome.Text, Normal)
	}
	e := v.rep.Show
	if e.N > 0 && v.rep.Verdict.Code != drift.TooFew {
		say(fmt.Sprintf("%s, spread %d ms, %+.0f ms a minute", drift.LateWords(e.Offset), e.Spread.Milliseconds(), zeroNaN(v.rep.Rate.PerMinute())), Quiet)
	}
	if r.h >= 3 {
		v.plot(c, r)
	}
}

func tapCount(n int) string {
	if n == 1 {
		return "1 tap"
	}
	return fmt.Sprintf("%d taps", n)
}

func zeroNaN(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}

// plot draws the latest taps as points: above the middle late, below early.
func (v *driftView) plot(c *canvas, r rect) {
	reach := 300 * time.Millisecond
	for _, t := range v.list {
		if t.Cue >= 0 {
			reach = max(reach, min(time.Second, absDuration(t.Late.At(v.plan.Rate))))
		}
	}
	mid := r.y + r.h/2
	c.fill(rect{r.x + 6, mid, r.w - 6, 1}, '─', Faint)
	c.text(r.x, r.y, 6, "late", Faint)
	c.text(r.x, mid, 6, "0", Faint)
	c.text(r.x, r.y+r.h-1, 6, "early", Faint)
	span := max(1, v.plan.Length)
	for _, t := range v.list {
		if t.Cue < 0 {
			continue
		}
		x := r.x + 6 + int(int64(t.At)*int64(r.w-7)/int64(span))
		late := float64(t.Late.At(v.plan.Rate)) / float64(reach)
		y := mid - int(math.Round(max(-1, min(1, late))*float64(r.h-1)/2))
		if y >= r.y && y < r.y+r.h && x < r.x+r.w {
			c.set(x, y, '•', TapDot)
		}
	}
}

func absDuration(d time.Duration) time.Duration { return max(d, -d) }
