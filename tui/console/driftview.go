package console

import (
	"fmt"
	"math"
	"slices"
	"time"

	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// A driftView is what the console shows of the taps since the last nudge.
type driftView struct {
	deck.Follower
	plan     *show.Plan
	listened *crew.Listened // what listeners of the crew heard under the nudge asked for; nil: nothing yet
}

// any reports whether somebody has tapped.
func (v *driftView) any() bool { return v.Taps > 0 || v.listened != nil }

// update counts the taps that came since it was last called.
func (v *driftView) update(m *Screen) {
	v.plan = m.Plan
	v.Update(m.snap, m.Show.Cues, m.Tapper)
	v.listened = nil
	if m.Others == nil {
		return
	}
	if l := m.Others.Board().Listened; l != nil && l.Nudge == m.snap.Transport.Asked() {
		v.listened = l
	}
}

// short is the drift in one line.
func (v *driftView) short(asked time.Duration) (string, screen.Style) {
	switch {
	case v.Taps == 0 && v.listened != nil:
		return v.listened.Short(), styleOf(v.listened.Verdict.Code)
	case v.Taps == 0:
		return v.Words(asked), screen.Quiet
	case v.Nudge != asked:
		return v.Words(asked), screen.Caution
	}
	return v.Words(asked), styleOf(v.Report.Verdict.Code)
}

// styleOf is the style of what taps tell.
func styleOf(code drift.Code) screen.Style {
	switch code {
	case drift.InPlace:
		return screen.Good
	case drift.Nudge, drift.LaneApart, drift.RateWrong, drift.PlacesApart:
		return screen.NudgeOn
	}
	return screen.Normal
}

// draw draws the taps over show time, and what they say.
func (v *driftView) draw(m *Screen, c *screen.Canvas, r screen.Rectangle) {
	title := fmt.Sprintf("taps: %d", v.Taps)
	if v.listened != nil {
		title += fmt.Sprintf(", by listeners %d", v.listened.Taps)
	}
	r = c.Heading(r, title)
	if v.listened != nil {
		r = v.drawListened(m, c, r)
	}
	switch {
	case !v.any():
		c.Paragraph(r).Write(fmt.Sprintf("%s on each accent you hear, as it sounds", m.Keys.Name(ActTap)), screen.Quiet)
		return
	case v.Taps == 0:
		return
	}
	text, style := v.short(m.snap.Transport.Asked())
	p := c.Paragraph(r)
	p.Write(text, style)
	if v.Outcome.Code != drift.NoNudgeYet {
		p.Write(v.Outcome.Text, screen.Normal)
	}
	e := v.Report.Show
	if e.N > 0 && v.Report.Verdict.Code != drift.TooFew {
		p.Write(sureWords(e)+fmt.Sprintf(", spread %d ms, %+.0f ms a minute", e.Spread.Milliseconds(), math.Round(zeroNaN(v.Report.Rate.PerMinute()))+0), screen.Quiet)
	}
	r = p.Left
	if lanes := v.Report.Lanes; len(lanes) > 1 && r.H >= len(lanes)+4 {
		for _, g := range lanes {
			if !g.Sure() { // another lane explains its taps as well
				continue
			}
			text := fmt.Sprintf("%s (%s)", words.Late(g.Estimate.Offset), words.Count(g.Estimate.N, "tap"))
			style := screen.Quiet
			if g.Name == v.Report.Verdict.Lane && g.Name != "" {
				style = screen.NudgeOn
			}
			c.Text(r.X, r.Y, m.posWidth, g.Name, style)
			c.Text(r.X+m.posWidth+1, r.Y, r.W-m.posWidth-1, text, style)
			r.Y, r.H = r.Y+1, r.H-1
		}
	}
	if r.H >= 3 {
		v.plot(c, r)
	}
}

// drawListened says what listeners heard, each place as it is seen and heard there, and
// returns what is left of r.
func (v *driftView) drawListened(m *Screen, c *screen.Canvas, r screen.Rectangle) screen.Rectangle {
	l := v.listened
	text := "listeners: " + l.Verdict.Text
	if len(m.Wrap(text, r.W)) > r.H {
		text = l.Short()
	}
	p := c.Paragraph(r)
	p.Write(text, styleOf(l.Verdict.Code))
	for _, at := range l.Places.Places {
		row := fmt.Sprintf("%s: %s there", at.Name, words.Late(at.There))
		if len(m.Wrap(row, r.W)) > p.Left.H {
			break
		}
		p.Write(row, screen.Quiet)
	}
	return p.Left
}

// sureWords is an estimate and how sure it is.
func sureWords(e drift.Estimate) string {
	if e.N < drift.MinTaps {
		return words.Late(e.Offset)
	}
	return fmt.Sprintf("%s ±%d ms (95 %%)", words.Late(e.Offset), ((e.High - e.Low) / 2).Milliseconds())
}

func zeroNaN(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}

// plot draws the taps of this nudge as points over the time they span: above
// the middle late, below early. The line is the running median.
func (v *driftView) plot(c *screen.Canvas, r screen.Rectangle) {
	var points []deck.Tap
	reach := 300 * time.Millisecond
	for _, t := range v.List {
		if t.Cue >= 0 {
			points = append(points, t)
			reach = max(reach, min(time.Second, t.Late.At(v.plan.Rate).Abs()))
		}
	}
	if len(points) == 0 {
		return
	}
	mid, left, width := r.Y+r.H/2, r.X+6, r.W-7
	row := func(late timebase.Frame) int {
		part := float64(late.At(v.plan.Rate)) / float64(reach)
		return mid - int(math.Round(max(-1, min(1, part))*float64((r.H-1)/2)))
	}
	c.Fill(screen.Rect(left, mid, width+1, 1), '╌', screen.Faint)
	c.Text(r.X, r.Y, 6, "late", screen.Quiet)
	c.Text(r.X, mid, 6, "on", screen.Quiet)
	c.Text(r.X, r.Y+r.H-1, 6, "early", screen.Quiet)
	first, span := points[0].At, max(1, points[len(points)-1].At-points[0].At)
	x := func(t deck.Tap) int { return left + int(int64(t.At-first)*int64(width)/int64(span)) }
	for i := range points {
		c.Set(x(points[i]), row(runningMedian(points[:i+1])), '─', screen.BeatMark)
	}
	for _, t := range points {
		c.Set(x(t), row(t.Late), '•', screen.TapDot)
	}
}

// runningMedian is the median of the latest taps, nine at the most.
func runningMedian(taps []deck.Tap) timebase.Frame {
	var late []timebase.Frame
	for _, t := range taps[max(0, len(taps)-9):] {
		late = append(late, t.Late)
	}
	slices.Sort(late)
	return late[len(late)/2]
}
