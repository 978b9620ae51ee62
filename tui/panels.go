package tui

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// The panels that the panel key goes through; the list of next cues is always
// there.
const (
	panelSky = iota
	panelDrift
	panelCue
	panelCount
)

// drawPanels draws the next cues and, beside them, one or two of the others.
func (m *Console) drawPanels(c *canvas) {
	p := m.lay.panels
	m.drawNext(c, m.drawRadio(c, p[0]))
	shown := m.shownPanel()
	if len(p) == 3 {
		m.drawPanel(c, p[1], panelDrift)
		if shown == panelDrift {
			shown = panelSky
		}
	}
	m.drawPanel(c, p[len(p)-1], shown)
}

// shownPanel is the chosen panel; a hold brings up its own.
func (m *Console) shownPanel() int {
	if m.snap.Transport.State() == show.Held && m.panel == panelDrift {
		return panelSky
	}
	return m.panel
}

func (m *Console) drawPanel(c *canvas, r rect, panel int) {
	switch panel {
	case panelDrift:
		m.drift.draw(m, c, r)
	case panelCue:
		m.drawCue(c, r)
	default:
		if m.snap.Transport.State() == show.Held {
			m.drawHold(c, r)
		} else {
			m.drawSky(c, r)
		}
	}
}

// heading draws a panel's title on a rule and returns what is left below.
func heading(c *canvas, r rect, title string) rect {
	c.fill(rect{r.x, r.y, r.w - 1, 1}, '─', Faint)
	c.text(r.x+1, r.y, r.w-3, " "+title+" ", Heading)
	return rect{r.x + 1, r.y + 1, r.w - 3, r.h - 1}
}

// drawNext lists the cues that come next, with their countdowns.
func (m *Console) drawNext(c *canvas, r rect) {
	r = heading(c, r, "next cues")
	t := &m.snap.Transport
	for i := t.Next(); i < len(m.Plan.Cues) && r.h > 0; i++ {
		cue := m.cue(i)
		style, when := Normal, countdown(t.FiresAt(i)-m.heard(), m.Plan.Rate)
		switch {
		case t.Down(i):
			style, when = DownMark, "down"
		case i < t.Committed():
			style = Strong // a nudge no longer moves it
		}
		c.text(r.x, r.y, 10, when, style)
		x := c.text(r.x+10, r.y, m.idWidth, cue.ID, style)
		x = c.text(max(x, r.x+10+m.idWidth)+1, r.y, m.posWidth, cue.Position, style)
		x = max(x, r.x+11+m.idWidth+m.posWidth) + 1
		c.text(x, r.y, r.x+r.w-x, cue.Effect, style)
		r.y++
		r.h--
	}
	if t.Next() == len(m.Plan.Cues) {
		c.text(r.x, r.y, r.w, "no more cues", Quiet)
	}
}

// drawSky lists the effects that are up.
func (m *Console) drawSky(c *canvas, r rect) {
	r = heading(c, r, "still up")
	if len(m.up) == 0 {
		c.text(r.x, r.y, r.w, "the sky is clear", Quiet)
		return
	}
	m.listUp(c, r)
}

func (m *Console) listUp(c *canvas, r rect) {
	for k, up := range m.up {
		if k >= r.h {
			return
		}
		if k == r.h-1 && len(m.up) > r.h {
			c.text(r.x, r.y+k, r.w, fmt.Sprintf("and %d more", len(m.up)-k), Quiet)
			return
		}
		cue := m.cue(up.Cue)
		what, style := "breaks "+countdown(up.Effect, m.Plan.Rate), Strong
		if up.Effect <= 0 {
			what, style = "burns, clear "+countdownUp(up.Clear, m.Plan.Rate), Normal
		}
		x := c.text(r.x, r.y+k, m.idWidth, cue.ID, style)
		x = c.text(max(x, r.x+m.idWidth)+1, r.y+k, m.posWidth, cue.Position, style)
		x = max(x, r.x+1+m.idWidth+m.posWidth) + 1
		c.text(x, r.y+k, r.x+r.w-x, what, style)
	}
}

// drawHold is the hold panel: how long, what is still up, what was committed
// and taken back, where the run goes on, and the checklist.
func (m *Console) drawHold(c *canvas, r rect) {
	t := &m.snap.Transport
	r = heading(c, r, "HOLD "+clockText(m.snap.Stopped(m.now)))
	line := func(s string, style Style) {
		if r.h > 0 {
			c.text(r.x, r.y, r.w, s, style)
			r.y++
			r.h--
		}
	}
	if len(m.up) > 0 {
		line(fmt.Sprintf("NOT CLEAR: %d still up, clear %s", len(m.up), countdownUp(m.up[0].Clear, m.Plan.Rate)), Alarm)
	} else {
		line("the sky is clear of what was lit", Good)
	}
	back := ""
	if n := t.TakenBack(); n > 0 {
		back = fmt.Sprintf(" (%d taken back)", n)
	}
	line(fmt.Sprintf("resumes at %s, cue %s first%s", timebase.ClockMillis(t.Heard().At(m.Plan.Rate)), m.nextID(), back), Normal)
	list := m.Show.Console.Checklist
	for i, item := range list {
		mark, style := "□ ", Normal
		if i < m.ticked {
			mark, style = "✓ ", Good
		}
		if i == m.ticked {
			item += "  (" + m.Keys.Name(ActTick) + " ticks)"
			style = Strong
		}
		line(mark+item, style)
	}
	if r.h > 0 {
		m.listUp(c, r)
	}
}

func (m *Console) nextID() string {
	if i := m.nextFiring(); i >= 0 {
		return m.cue(i).ID
	}
	return "none"
}

// drawCue shows everything known of the cue under the cursor.
func (m *Console) drawCue(c *canvas, r rect) {
	r = heading(c, r, "cue")
	if m.cursor < 0 {
		c.text(r.x, r.y, r.w, fmt.Sprintf("%s and %s choose a cue in the marked lane", m.Keys.Name(ActCuePrev), m.Keys.Name(ActCueNext)), Quiet)
		return
	}
	t, i := &m.snap.Transport, m.cursor
	cue := m.cue(i)
	at := func(f timebase.Frame) string { return timebase.ClockMillis(f.At(m.Plan.Rate)) }
	status := "fires " + countdown(t.FiresAt(i)-m.heard(), m.Plan.Rate)
	switch {
	case t.Down(i):
		status = "stood down"
	case i < t.Next():
		status = "fired"
	case i < t.Committed():
		status = "committed"
	}
	lines := []string{
		fmt.Sprintf("cue %s: %s", cue.ID, status),
		effectText(cue),
		fmt.Sprintf("effect %s, ignition %s", at(t.EffectAt(i)), at(t.FiresAt(i))),
		fmt.Sprintf("listed %s, prefire %s s, burn %s s", timebase.ClockMillis(cue.EffectAt), secondsText(cue.Prefire), secondsText(cue.Burn)),
		fmt.Sprintf("%s, module %s, pin %d", cue.Position, orNone(cue.Module), cue.Pin),
	}
	if cue.Caliber > 0 {
		lines[1] += fmt.Sprintf(", %g mm", cue.Caliber)
	}
	if cue.Note != "" {
		lines = append(lines, cue.Note)
	}
	lines = append(lines, fmt.Sprintf("line %d of %s", cue.Line, m.Show.CuesFile))
	for k, s := range lines {
		if k >= r.h {
			break
		}
		style := Normal
		if k == 0 {
			style = Strong
		}
		c.text(r.x, r.y+k, r.w, s, style)
	}
}

// effectText is a cue's effect, with its family where the words do not say it.
func effectText(c show.Cue) string {
	if strings.Contains(strings.ToLower(c.Effect), c.Family.String()) {
		return c.Effect
	}
	return strings.TrimSpace(fmt.Sprintf("%s (%s)", c.Effect, c.Family))
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func secondsText(d time.Duration) string { return strconv.FormatFloat(d.Seconds(), 'f', -1, 64) }
