package instructor

import (
	"fmt"
	"slices"
	"time"

	"drylane/playback/instruct"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// toCome are the planned steps that have not happened since the run was armed, and
// still can.
func (m *Screen) toCome() []instruct.PlannedStep {
	came := map[string]int{}
	for _, e := range m.view.Events {
		switch {
		case e.Kind == show.EventArmed.String():
			clear(came)
		case e.Kind == session.KindDrill && e.By != show.ByInstructor:
			came[e.Data.Step+"\x00"+e.Data.Do]++
		}
	}
	var list []instruct.PlannedStep
	for _, s := range m.Hello.Steps {
		key := s.Step + "\x00" + string(s.Do)
		if came[key] > 0 {
			came[key]--
			continue
		}
		list = append(list, s)
	}
	slices.SortStableFunc(list, func(a, b instruct.PlannedStep) int {
		return int(firstOf(a) - firstOf(b))
	})
	return list
}

// firstOf puts steps by music in front, in their order, and those that wait for
// something behind them.
func firstOf(s instruct.PlannedStep) int64 {
	if s.After == "" {
		return int64(min(s.At, time.Hour*1000) / time.Millisecond)
	}
	return int64(time.Hour * 2000 / time.Millisecond)
}

// whenWords says when a planned step comes.
func whenWords(s instruct.PlannedStep) string {
	if s.After == "" {
		return timebase.ClockTenths(s.At)
	}
	return fmt.Sprintf("%.1f s after %s", s.At.Seconds(), s.After)
}

// drawPlan lists what is planted in the trainee's cue list and the steps to come. It
// returns what is left of r.
func (m *Screen) drawPlan(c *screen.Canvas, r screen.Rectangle) screen.Rectangle {
	steps, planted := m.toCome(), m.Hello.Planted
	if len(m.Hello.Steps) == 0 && len(planted) == 0 {
		return r
	}
	title := fmt.Sprintf("%d to come", len(steps))
	if m.view.State.Score != "" {
		title += ", " + m.view.State.Score
	}
	rows := max(1, min(len(steps)+len(planted), r.H/2-1))
	in := c.Heading(screen.Rect(r.X, r.Y, r.W, rows+1), title)
	line := func(text string, style screen.Style) {
		if in.H > 0 {
			c.Text(in.X, in.Y, in.W, text, style)
			in.Y, in.H = in.Y+1, in.H-1
		}
	}
	if len(steps)+len(planted) == 0 {
		line("all that was planned has come", screen.Quiet)
	}
	for _, p := range planted {
		line("planted  "+p, screen.Caution)
	}
	for k, s := range steps {
		if in.H == 1 && len(steps)-k > 1 {
			line(fmt.Sprintf("and %d more", len(steps)-k), screen.Quiet)
			break
		}
		text := fmt.Sprintf("%-8s %s", whenWords(s), s.What)
		if s.Wants != drill.WantNothing {
			text += fmt.Sprintf(" [wants %s]", s.Wants)
		}
		line(text, screen.Normal)
	}
	return screen.Rect(r.X, r.Y+rows+1, r.W, r.H-rows-1)
}

// answerTo is what answers a step that wants something.
var answerTo = map[string]string{
	string(drill.WantHold): show.EventHeld.String(), string(drill.WantResume): show.EventResumed.String(),
	string(drill.WantCut): show.EventCut.String(), string(drill.WantStandDown): show.EventStoodDown.String(),
}

// reaction says how long the trainee took to do what event i wants, or how long it
// has been waited for; the first thing of that kind counts, the engine's own not.
func (m *Screen) reaction(i int) string {
	e := &m.view.Events[i]
	want := answerTo[e.Data.Wants]
	if want == "" || e.Wall.IsZero() {
		return ""
	}
	if want == show.EventHeld.String() && e.State == show.Held.String() {
		return "held already"
	}
	for k := i + 1; k < len(m.view.Events); k++ {
		switch a := &m.view.Events[k]; {
		case a.Kind == want && a.By != show.ByEngine:
			return fmt.Sprintf("after %.1f s", a.Wall.Sub(e.Wall).Seconds())
		case a.Kind == show.EventArmed.String() || a.Kind == session.KindClosed:
			return "no answer"
		}
	}
	if m.view.Ended != "" {
		return "no answer"
	}
	return fmt.Sprintf("%.1f s, not yet", max(0, m.now.Sub(e.Wall)).Seconds())
}
