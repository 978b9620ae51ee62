package instructor

import (
	"fmt"
	"slices"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// nameWidths are the widths of the columns with the names of n cues and of
// their positions.
func (m *Screen) nameWidths(n int, cue func(i int) string) (id, pos int) {
	id, pos = 1, 1
	for i := range n {
		id = max(id, min(8, m.Width(cue(i))))
	}
	for _, p := range m.positions() {
		pos = max(pos, min(12, m.Width(p)))
	}
	return id, pos
}

// drawNext lists the cues that come next, with their countdowns.
func (m *Screen) drawNext(c *screen.Canvas) {
	next := m.view.Watched.Next
	left := m.view.Welcome.Cues - m.view.Watched.Gone
	r := c.Heading(m.lay.next, words.Count(left, "cue")+" to come: to ignition")
	if len(next) == 0 {
		c.Text(r.X, r.Y, r.W, "no more cues", screen.Quiet)
	}
	next = next[:min(len(next), r.H)]
	id, pos := m.nameWidths(len(next), func(i int) string { return next[i].ID })
	for k, n := range next {
		style, when := screen.Normal, screen.ToGo(m.until(n.Lit))
		switch {
		case m.view.Lost:
			style, when = screen.Caution, "not known"
		case n.Down:
			style, when = screen.DownMark, "down"
		case n.Committed:
			style = screen.Strong
		}
		y := r.Y + k
		c.Text(r.X, y, 10, when, style)
		c.Text(r.X+10, y, id, n.ID, style)
		c.Text(r.X+11+id, y, pos, n.Position, style)
		c.Text(r.X+12+id+pos, y, r.W-12-id-pos, n.Effect, style)
	}
}

// drawUp lists the effects that are up.
func (m *Screen) drawUp(c *screen.Canvas) {
	if m.lay.up.W == 0 {
		return
	}
	up := m.view.Watched.Up
	r := c.Heading(m.lay.up, "still up")
	if m.view.Lost {
		c.Text(r.X, r.Y, r.W, notKnown, screen.Caution)
		return
	}
	if unknown := m.view.Watched.Unknown; len(up) == 0 || unknown > 0 {
		c.Text(r.X, r.Y, r.W, screen.StillUp(0, 0, unknown), screen.Quiet)
		r.Y, r.H = r.Y+1, r.H-1
	}
	up = up[:min(len(up), r.H)]
	id, pos := m.nameWidths(len(up), func(i int) string { return up[i].Cue })
	for k, u := range up {
		y := r.Y + k
		if k == r.H-1 && m.view.Watched.UpAll > r.H {
			c.Text(r.X, y, r.W, fmt.Sprintf("and %d more", m.view.Watched.UpAll-k), screen.Quiet)
			return
		}
		what, style := "breaks "+screen.ToGo(m.burning(u.Breaks)), screen.Strong
		if m.burning(u.Breaks) == 0 {
			what, style = "burns for "+screen.SpanUp(m.burning(u.Clear)), screen.Normal
		}
		c.Text(r.X, y, id, u.Cue, style)
		c.Text(r.X+1+id, y, pos, u.Position, style)
		c.Text(r.X+2+id+pos, y, r.W-2-id-pos, what, style)
	}
}

// says is what the log's facts say of an event.
func (m *Screen) says(e session.Entry) string {
	return e.Words(m.rate(), timebase.FrameAt(m.view.Welcome.Length, m.rate()))
}

// moment is where in the music an event was.
func (m *Screen) moment(e session.Entry) string {
	return timebase.ClockTenths(timebase.Frame(e.Heard).At(m.rate()))
}

// drawTaps lists the taps, the latest first.
func (m *Screen) drawTaps(c *screen.Canvas) {
	r := c.Heading(m.lay.taps, fmt.Sprintf("taps: %d, the latest first", m.view.Watched.Taps))
	if m.view.Watched.Taps == 0 {
		c.Text(r.X, r.Y, r.W, "the trainee has not tapped", screen.Quiet)
		return
	}
	for _, e := range slices.Backward(m.view.Events) {
		if e.Kind == show.EventArmed.String() || r.H == 0 { // the taps before were another run's
			return
		}
		if e.Kind != session.KindTap {
			continue
		}
		c.Text(r.X, r.Y, 8, m.moment(e), screen.Quiet)
		text, style := tapWords(e.Data)
		if r.H == m.lay.taps.H-1 && style == screen.Normal { // the latest
			style = screen.Strong
		}
		c.Text(r.X+9, r.Y, r.W-9, text, style)
		r.Y, r.H = r.Y+1, r.H-1
	}
}

// tapWords say how a tap lay to the cue it was set against.
func tapWords(d session.Data) (string, screen.Style) {
	if d.LateMS == nil {
		return "no cue near it", screen.Caution
	}
	late := *d.LateMS
	switch {
	case late > 0:
		return fmt.Sprintf("%4d ms late   cue %s", late, d.Cue), screen.Normal
	case late < 0:
		return fmt.Sprintf("%4d ms early  cue %s", -late, d.Cue), screen.Normal
	}
	return fmt.Sprintf("on the music   cue %s", d.Cue), screen.Good
}

// drawSteps lists what was done to the run, by the drill or by hand, the latest
// first.
func (m *Screen) drawSteps(c *screen.Canvas) {
	r := c.Heading(m.drawPlan(c, m.lay.steps), "what happened to the run")
	none := true
	for i, e := range slices.Backward(m.view.Events) {
		if e.Kind != session.KindDrill {
			continue
		}
		none = false
		text, style := stepWords(e.Data)
		if e.By == show.ByInstructor {
			text = m.origin(e.Data.Member) + ": " + text
		}
		if e.Data.Wants != "" {
			took := m.reaction(i)
			if took != "" {
				took = ": " + took
			}
			text += " [wants " + e.Data.Wants + took + "]"
		}
		for k, l := range m.Wrap(text, r.W-9) {
			if r.H == 0 {
				return
			}
			if k == 0 {
				c.Text(r.X, r.Y, 8, m.moment(e), screen.Quiet)
			}
			c.Text(r.X+9, r.Y, r.W-9, l, style)
			r.Y, r.H = r.Y+1, r.H-1
		}
	}
	if none {
		c.Text(r.X, r.Y, r.W, "nothing yet", screen.Quiet)
	}
}

// origin says which trainer did something.
func (m *Screen) origin(name string) string {
	if name == "" || name == m.view.Welcome.Name {
		return "by hand"
	}
	return "by " + name
}

// drawEvents lists what else happened, the latest first. A long one goes on in the rows
// below it.
func (m *Screen) drawEvents(c *screen.Canvas) {
	r := c.Heading(m.lay.events, "latest events")
	for _, e := range slices.Backward(m.view.Events) {
		if r.H == 0 {
			return
		}
		if e.Kind == session.KindDrill || e.Kind == session.KindTap {
			continue
		}
		text, style := eventWords(e, m.says(e))
		rows := m.Wrap(text, r.W-9)
		if len(rows) > r.H { // what has no room for all of it is not cut
			return
		}
		c.Text(r.X, r.Y, 8, m.moment(e), screen.Quiet)
		for i, row := range rows {
			c.Text(r.X+9, r.Y+i, r.W-9, row, style)
		}
		r.Y, r.H = r.Y+len(rows), r.H-len(rows)
	}
}
