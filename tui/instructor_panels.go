package tui

import (
	"fmt"
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"

	"github.com/rivo/uniseg"
)

// nameWidth is the width of a column of names, limit at the most.
func nameWidth(limit int, names ...string) int {
	w := 1
	for _, n := range names {
		w = max(w, min(limit, uniseg.StringWidth(n)))
	}
	return w
}

// drawNext lists the cues that come next, with their countdowns.
func (m *Instructor) drawNext(c *canvas) {
	next := m.view.State.Next
	left := m.Hello.Cues - m.view.State.Gone
	r := heading(c, m.lay.next, fmt.Sprintf("next of %d cues", left))
	if len(next) == 0 {
		c.text(r.x, r.y, r.w, "no more cues", Quiet)
	}
	next = next[:min(len(next), r.h)]
	id, pos := 1, nameWidth(12, m.Hello.Positions...)
	for _, n := range next {
		id = max(id, nameWidth(8, n.Cue))
	}
	for k, n := range next {
		style, when := Normal, toGo(m.until(n.In))
		switch {
		case n.Down:
			style, when = DownMark, "down"
		case n.Committed:
			style = Strong
		}
		y := r.y + k
		c.text(r.x, y, 10, when, style)
		c.text(r.x+10, y, id, n.Cue, style)
		c.text(r.x+11+id, y, pos, n.Position, style)
		c.text(r.x+12+id+pos, y, r.w-12-id-pos, n.Effect, style)
	}
}

// drawUp lists the effects that are up.
func (m *Instructor) drawUp(c *canvas) {
	if m.lay.up.w == 0 {
		return
	}
	up := m.view.State.Up
	r := heading(c, m.lay.up, "still up")
	if len(up) == 0 {
		c.text(r.x, r.y, r.w, "the sky is clear", Quiet)
	}
	up = up[:min(len(up), r.h)]
	id, pos := 1, nameWidth(12, m.Hello.Positions...)
	for _, u := range up {
		id = max(id, nameWidth(8, u.Cue))
	}
	for k, u := range up {
		y := r.y + k
		if k == r.h-1 && m.view.State.UpAll > r.h {
			c.text(r.x, y, r.w, fmt.Sprintf("and %d more", m.view.State.UpAll-k), Quiet)
			return
		}
		what, style := "breaks "+toGo(m.burning(u.Breaks)), Strong
		if m.burning(u.Breaks) == 0 {
			what, style = "burns, clear "+toGoUp(m.burning(u.Clear)), Normal
		}
		c.text(r.x, y, id, u.Cue, style)
		c.text(r.x+1+id, y, pos, u.Position, style)
		c.text(r.x+2+id+pos, y, r.w-2-id-pos, what, style)
	}
}

// moment is where in the music an event was.
func (m *Instructor) moment(e session.Entry) string {
	if m.Hello.Rate <= 0 {
		return ""
	}
	s, t := tenths(timebase.Frame(e.Heard).At(m.Hello.Rate))
	return fmt.Sprintf("%d:%02d.%d", s/60, s%60, t)
}

// says is what the log's facts say of an event.
func (m *Instructor) says(e session.Entry) string {
	rate := max(1, m.Hello.Rate)
	return e.Words(rate, timebase.FrameAt(m.Hello.Length, rate))
}

// drawTaps lists the taps, the latest first.
func (m *Instructor) drawTaps(c *canvas) {
	r := heading(c, m.lay.taps, fmt.Sprintf("taps: %d, the latest first", m.view.State.Taps))
	if m.view.State.Taps == 0 {
		c.text(r.x, r.y, r.w, "the trainee has not tapped", Quiet)
		return
	}
	for _, e := range slices.Backward(m.view.Events) {
		if e.Kind == show.EventArmed.String() || r.h == 0 { // the taps before were another run's
			return
		}
		if e.Kind != session.KindTap {
			continue
		}
		c.text(r.x, r.y, 8, m.moment(e), Quiet)
		text, style := tapWords(e.Data)
		if r.h == m.lay.taps.h-1 && style == Normal { // the latest
			style = Strong
		}
		c.text(r.x+9, r.y, r.w-9, text, style)
		r.y, r.h = r.y+1, r.h-1
	}
}

// tapWords say how a tap lay to the cue it was set against.
func tapWords(d session.Data) (string, Style) {
	if d.LateMS == nil {
		return "no cue near it", Caution
	}
	late := *d.LateMS
	switch {
	case late > 0:
		return fmt.Sprintf("%4d ms late   cue %s", late, d.Cue), Normal
	case late < 0:
		return fmt.Sprintf("%4d ms early  cue %s", -late, d.Cue), Normal
	}
	return fmt.Sprintf("on the music   cue %s", d.Cue), Good
}

// drawSteps lists what befell the run, by the drill or by hand, the latest
// first.
func (m *Instructor) drawSteps(c *canvas) {
	r := heading(c, m.lay.steps, "what befell the run")
	none := true
	for _, e := range slices.Backward(m.view.Events) {
		if e.Kind != session.KindDrill {
			continue
		}
		none = false
		text, style := stepWords(e.Data)
		if e.By == show.ByInstructor {
			text = "by hand: " + text
		}
		if e.Data.Wants != "" {
			text += " [" + strings.TrimSpace("wants "+e.Data.Wants) + "]"
		}
		for k, l := range wrap(text, r.w-9) {
			if r.h == 0 {
				return
			}
			if k == 0 {
				c.text(r.x, r.y, 8, m.moment(e), Quiet)
			}
			c.text(r.x+9, r.y, r.w-9, l, style)
			r.y, r.h = r.y+1, r.h-1
		}
	}
	if none {
		c.text(r.x, r.y, r.w, "nothing yet", Quiet)
	}
}

// drawEvents lists what else happened, the latest first.
func (m *Instructor) drawEvents(c *canvas) {
	r := heading(c, m.lay.events, "latest events")
	for _, e := range slices.Backward(m.view.Events) {
		if r.h == 0 {
			return
		}
		if e.Kind == session.KindDrill || e.Kind == session.KindTap {
			continue
		}
		text, style := eventWords(e, m.says(e))
		c.text(r.x, r.y, 8, m.moment(e), Quiet)
		c.text(r.x+9, r.y, r.w-9, text, style)
		r.y, r.h = r.y+1, r.h-1
	}
}
