package instructor

import (
	"fmt"
	"slices"
	"strings"
	"time"

	link "drylane/playback/crew"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// toCome are the planned steps that have not happened since the run was armed, and
// still can.
func (m *Screen) toCome() []link.PlannedStep {
	came := map[string]int{}
	for _, e := range m.view.Events {
		switch {
		case e.Kind == show.EventArmed.String():
			clear(came)
		case e.Kind == session.KindDrill && e.By != show.ByInstructor:
			came[e.Data.Step+"\x00"+e.Data.Do]++
		}
	}
	var list []link.PlannedStep
	for _, s := range m.view.Planned.Steps {
		key := s.Step + "\x00" + string(s.Do)
		if came[key] > 0 {
			came[key]--
			continue
		}
		list = append(list, s)
	}
	slices.SortStableFunc(list, func(a, b link.PlannedStep) int {
		return int(firstOf(a) - firstOf(b))
	})
	return list
}

// firstOf puts steps by music in front, in their order, and those that wait for
// something behind them.
func firstOf(s link.PlannedStep) int64 {
	if s.After == "" {
		return int64(min(s.At, time.Hour*1000) / time.Millisecond)
	}
	return int64(time.Hour * 2000 / time.Millisecond)
}

// whenWords says when a planned step comes.
func whenWords(s link.PlannedStep) string {
	if s.After == "" {
		return timebase.ClockTenths(s.At)
	}
	return fmt.Sprintf("%.1f s after %s", s.At.Seconds(), s.After)
}

// drawPlan lists what is planted in the trainee's cue list and the steps to come. It
// returns what is left of r.
func (m *Screen) drawPlan(c *screen.Canvas, r screen.Rectangle) screen.Rectangle {
	steps, planted := m.toCome(), m.view.Planned.Planted
	if len(m.view.Planned.Steps) == 0 && len(planted) == 0 {
		return r
	}
	title := fmt.Sprintf("%d to come", len(steps))
	if m.view.Watched.Score != "" {
		title += ", " + m.view.Watched.Score
	}
	in := c.Heading(r, title)
	items := m.planItems(steps, planted, in.W)
	wanted := 0
	for _, i := range items {
		wanted += len(i.lines)
	}
	room := r.H/2 - 1 // what has happened needs the rest
	if !m.happened() {
		room = r.H - 3
	}
	in.H = max(1, min(wanted, room))
	rest := screen.Rect(r.X, in.Y+in.H, r.W, r.H-1-in.H)
	for k, i := range items {
		left := len(items) - k
		switch { // the next to come is told whatever the room, and so is a last one
		case left == 1:
			i.lines = squeeze(i.lines, max(1, in.H))
		case k == 0:
			i.lines = squeeze(i.lines, max(1, in.H-1))
		}
		if k > 0 && (in.H < len(i.lines) || in.H == len(i.lines) && left > 1) {
			if in.H > 0 {
				c.Text(in.X, in.Y, in.W, fmt.Sprintf("and %d more", left), screen.Quiet)
			}
			break
		}
		for _, l := range i.lines {
			c.Text(in.X, in.Y, in.W, l, i.style)
			in.Y, in.H = in.Y+1, in.H-1
		}
	}
	return rest
}

// squeeze puts lines into n at most; the last has what is left over.
func squeeze(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	return append(lines[:n-1:n-1], lines[n-1]+" "+strings.Join(strings.Fields(strings.Join(lines[n:], " ")), " "))
}

// happened reports whether anything was done to the run, by the drill or by hand.
func (m *Screen) happened() bool {
	return slices.ContainsFunc(m.view.Events, func(e session.Entry) bool { return e.Kind == session.KindDrill })
}

// A planItem is something that is planned, in lines that are not cut.
type planItem struct {
	lines []string
	style screen.Style
}

// planItems are what is planted and the steps to come, in lines of w columns.
func (m *Screen) planItems(steps []link.PlannedStep, planted []string, w int) []planItem {
	if len(steps)+len(planted) == 0 {
		return []planItem{{[]string{"all that was planned has come"}, screen.Quiet}}
	}
	var items []planItem
	for _, p := range planted {
		items = append(items, planItem{m.planLines("planted", p, w), screen.Caution})
	}
	for _, s := range steps {
		text := s.What
		if s.Wants != drill.WantNothing {
			text += fmt.Sprintf(" [wants %s]", s.Wants)
		}
		items = append(items, planItem{m.planLines(whenWords(s), text, w), screen.Normal})
	}
	return items
}

// planLines are text behind its label, which stands in a column of its own where
// that is wide enough.
func (m *Screen) planLines(label, text string, w int) []string {
	const column = 9
	if m.Width(label) < column {
		label = fmt.Sprintf("%-*s", column, label)
	} else {
		text, label = label+" "+text, ""
	}
	indent := label
	lines := m.Wrap(text, w-len(label))
	for k, l := range lines {
		lines[k] = indent + l
		indent = strings.Repeat(" ", len(label))
	}
	return lines
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
	switch {
	case want == show.EventHeld.String() && e.State == show.Held.String():
		return "held already"
	case want == show.EventResumed.String() && e.State == show.Running.String():
		return "running already"
	}
	for k := i + 1; k < len(m.view.Events); k++ {
		switch a := &m.view.Events[k]; {
		case a.Kind == want && a.By == show.ByInstructor:
			return "a trainer did it"
		case a.Kind == want && !a.By.Machine():
			return fmt.Sprintf("after %.1f s", a.Wall.Sub(e.Wall).Seconds())
		case a.Kind == show.EventArmed.String() || a.Kind == session.KindClosed:
			return "no answer"
		}
	}
	if m.view.Over {
		return "no answer"
	}
	return fmt.Sprintf("%.1f s, not yet", max(0, m.now.Sub(e.Wall)).Seconds())
}
