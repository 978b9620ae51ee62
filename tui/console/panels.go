package console

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// The panels that the panel key goes through; the list of next cues is always
// there.
const (
	panelSky = iota
	panelDrift
	panelCue
	panelLoaded
	panelCount
)

// drawPanels draws the next cues and, beside them, one or two of the others. A
// panel with little to say leaves its width to the names of effects.
func (m *Screen) drawPanels(c *screen.Canvas) {
	kinds := []int{m.shownPanel()}
	if m.lay.panels.W >= 114 {
		if kinds[0] == m.panelBeside() {
			kinds[0] = panelSky
		}
		kinds = []int{m.panelBeside(), kinds[0]}
	}
	var needs []int
	for _, k := range kinds {
		needs = append(needs, m.panelNeeds(k))
	}
	p := panelsIn(m.lay.panels, needs...)
	m.drawNext(c, m.drawRadio(c, p[0]))
	for i, k := range kinds {
		m.drawPanel(c, p[i+1], k)
	}
}

// panelNeeds is how wide a panel has to be.
func (m *Screen) panelNeeds(panel int) int {
	const all = 1 << 20
	held := m.snap.Transport.State() == show.Held
	switch {
	case panel == panelDrift && !m.drift.any(), panel == panelCue && m.cursor < 0:
		return 26
	case panel == panelSky && !held && len(m.up) == 0 && !m.madeSafe():
		return len(screen.NothingUp) + 4
	}
	return all
}

// shownPanel is the chosen panel; a hold brings up its own.
func (m *Screen) shownPanel() int {
	if m.boardUp() {
		return panelDevice
	}
	if (m.snap.Transport.State() == show.Held || m.madeSafe()) && (m.front || m.panel == panelDrift) {
		return panelSky
	}
	return m.panel
}

// bringToFront puts the panel of a hold or a cut before the chosen one as soon as the run
// is held or cut, until another is chosen: what must not be done then is read there.
func (m *Screen) bringToFront(was *deck.Snapshot) {
	switch stop := stopOf(m.snap); {
	case stop.IsZero():
		m.front = false
	case was != nil && !stop.Equal(stopOf(was)):
		m.front = true
	}
}

// stopOf is when the run was held, or made safe, if it is so; else zero.
func stopOf(s *deck.Snapshot) time.Time {
	switch state := s.Transport.State(); {
	case state == show.Held:
		return s.Since
	case state == show.Safe && s.Safe != nil:
		return s.Safe.Since
	}
	return time.Time{}
}

// nextPanel puts the next panel into sight: after that of a hold or a cut, the one that it
// stands before.
func (m *Screen) nextPanel() {
	if m.front && m.panel != panelSky && m.panel != panelDrift {
		m.front = false
		return
	}
	m.choosePanel((m.panel + 1) % m.panels())
}

// choosePanel puts a panel into sight.
func (m *Screen) choosePanel(panel int) { m.panel, m.front = panel, false }

func (m *Screen) drawPanel(c *screen.Canvas, r screen.Rectangle, panel int) {
	switch panel {
	case panelDrift:
		m.drift.draw(m, c, r)
	case panelCue:
		m.drawCue(c, r)
	case panelDevice:
		m.drawDevice(c, r)
	case panelCrew:
		m.drawCrew(c, r)
	case panelLoaded:
		m.drawLoaded(c, r)
	default:
		switch {
		case m.snap.Transport.State() == show.Held:
			m.drawHold(c, r)
		case m.madeSafe():
			m.drawSafe(c, r)
		default:
			m.drawSky(c, r)
		}
	}
}

// drawNext lists the cues that come next, with their countdowns.
func (m *Screen) drawNext(c *screen.Canvas, r screen.Rectangle) {
	t, cut := &m.snap.Transport, m.cutShort()
	heading := "next cues: to ignition"
	if cut {
		heading = "cut before these: treat as live"
	}
	r = c.Heading(r, heading)
	for i := t.Next(); i < len(m.Plan.Cues) && r.H > 0; i++ {
		if t.Out(i) {
			continue // no part of this run; the panel of what is still loaded has it
		}
		cue := m.cue(i)
		style, when := screen.Normal, countdown(t.FiresAt(i)-m.heard(), m.Plan.Rate)
		switch {
		case t.Down(i):
			style, when = screen.DownMark, "down"
		case cut:
			when = "loaded"
		case i < t.Committed():
			style = screen.Strong // a nudge no longer moves it
		}
		c.Text(r.X, r.Y, 10, when, style)
		x := c.Text(r.X+10, r.Y, m.idWidth, cue.ID, style)
		x = c.Text(max(x, r.X+10+m.idWidth)+1, r.Y, m.posWidth, cue.Position, style)
		x = max(x, r.X+11+m.idWidth+m.posWidth) + 1
		c.Text(x, r.Y, r.X+r.W-x, cue.Effect, style)
		r.Y++
		r.H--
	}
	if t.Next() == len(m.Plan.Cues) {
		c.Text(r.X, r.Y, r.W, "no more cues", screen.Quiet)
	}
}

// drawSky lists the effects that are up.
func (m *Screen) drawSky(c *screen.Canvas, r screen.Rectangle) {
	r = c.Heading(r, "still up")
	if len(m.up) == 0 || m.unknown > 0 {
		p := c.Paragraph(r)
		p.Write(m.skyText(), screen.Quiet)
		r = p.Left
	}
	m.listUp(c, r)
}

func (m *Screen) listUp(c *screen.Canvas, r screen.Rectangle) {
	for k, up := range m.up {
		if k >= r.H {
			return
		}
		if k == r.H-1 && len(m.up) > r.H {
			c.Text(r.X, r.Y+k, r.W, fmt.Sprintf("and %d more", len(m.up)-k), screen.Quiet)
			return
		}
		cue := m.cue(up.Cue)
		what, style := "breaks "+countdown(up.Effect, m.Plan.Rate), screen.Strong
		if up.Effect <= 0 {
			what, style = "burns for "+screen.SpanUp(up.Clear.At(m.Plan.Rate)), screen.Normal
		}
		x := c.Text(r.X, r.Y+k, m.idWidth, cue.ID, style)
		x = c.Text(max(x, r.X+m.idWidth)+1, r.Y+k, m.posWidth, cue.Position, style)
		x = max(x, r.X+1+m.idWidth+m.posWidth) + 1
		c.Text(x, r.Y+k, r.X+r.W-x, what, style)
	}
}

// notSafeToEnter is what everybody has to know of a hold: the cues are one key away.
const notSafeToEnter = "HELD IS NOT SAFE TO ENTER"

// drawHold is the hold panel: what it is not, what is still up, what was due when it
// was held, where the run goes on, and the checklist.
func (m *Screen) drawHold(c *screen.Canvas, r screen.Rectangle) {
	t := &m.snap.Transport
	r = c.Heading(r, notSafeToEnter)
	c.Text(r.X, r.Y-1, r.W, " "+notSafeToEnter+" ", screen.Alarm)
	line := func(s string, style screen.Style) {
		if r.H > 0 {
			c.Text(r.X, r.Y, r.W, s, style)
			r.Y++
			r.H--
		}
	}
	if sky := strings.TrimPrefix(m.skyText(), "LIST: "); r.H < 5 {
		// the headline and the facts say so, and the checklist needs the line
	} else if len(m.up) > 0 || m.unknown > 0 {
		for _, s := range m.Wrap("NOT CLEAR: "+sky, r.W) {
			line(s, screen.Alarm)
		}
	} else {
		line(m.skyText(), screen.Strong)
	}
	if due := m.dueAtStop(); due != "" && m.lay.large.W == 0 { // else it has a row of its own
		for _, s := range m.Wrap(due, r.W) {
			line(s, screen.Alarm)
		}
	}
	line(fmt.Sprintf("resumes at %s, cue %s first", timebase.ClockMillis(t.Heard().At(m.Plan.Rate)), m.nextID()), screen.Normal)
	if count, ok := m.calls.InCount(t); ok {
		line("resumes inside the count for cue "+count.Cue, screen.Caution)
		line("cannot start earlier than it stopped", screen.Quiet)
	}
	list := m.Show.Console.Checklist
	first := max(0, min(m.snap.Ticked-1, len(list)-r.H)) // the next to be ticked is always in sight
	for i := first; i < len(list); i++ {
		item := list[i]
		mark, style := "□ ", screen.Normal
		if i < m.snap.Ticked {
			mark, style = "✓ ", screen.Good
		}
		if i == m.snap.Ticked {
			style = screen.Strong
			if hint := "  (" + m.Keys.Name(actTick) + " ticks)"; m.Width(mark+item+hint) <= r.W {
				item += hint
			}
		}
		line(mark+item, style)
	}
	if r.H > 0 {
		m.listUp(c, r)
	}
}

// dueAtStop says which cues were due when the show was held; nothing if none was.
func (m *Screen) dueAtStop() string {
	var ids []string
	for _, i := range m.snap.Transport.DueAtStop() {
		ids = append(ids, m.cue(i).ID)
	}
	return words.Due(ids)
}

func (m *Screen) nextID() string {
	if i := m.nextFiring(); i >= 0 {
		return m.cue(i).ID
	}
	return "none"
}

// drawCue shows everything known of the cue under the cursor.
func (m *Screen) drawCue(c *screen.Canvas, r screen.Rectangle) {
	r = c.Heading(r, "cue")
	if m.cursor < 0 {
		c.Paragraph(r).Write(fmt.Sprintf("%s and %s choose a cue in the marked lane", m.Keys.Name(actCuePrev), m.Keys.Name(actCueNext)), screen.Quiet)
		return
	}
	panelLines(c, r, m.cueLines(m.cursor))
}

// cueLines are all that is known of a cue.
func (m *Screen) cueLines(i int) []string {
	t := &m.snap.Transport
	cue := m.cue(i)
	at := func(f timebase.Frame) string { return timebase.ClockMillis(f.At(m.Plan.Rate)) }
	status := "fires " + countdown(t.FiresAt(i)-m.heard(), m.Plan.Rate)
	switch {
	case t.Out(i) && t.Fired(i):
		status = "fired before the re-entry"
	case t.Out(i):
		status = stillLoaded
	case t.Down(i):
		status = "stood down"
	case i < t.Next():
		status = "fired"
	case m.cutShort():
		status = stillLoaded
	case i < t.Committed():
		status = "committed"
	}
	lines := []string{
		fmt.Sprintf("cue %s: %s", cue.ID, status),
		effectText(cue),
		fmt.Sprintf("effect %s, ignition %s", at(t.EffectAt(i)), at(t.FiresAt(i))),
		fmt.Sprintf("prefire %s s, burn %s s", secondsText(cue.Prefire), secondsText(cue.Burn)),
		fmt.Sprintf("%s, module %s, pin %d", cue.Position, orNone(cue.Module), cue.Pin),
	}
	if cue.Caliber > 0 {
		lines[1] += fmt.Sprintf(", %g mm", cue.Caliber)
	}
	lines = append(lines, "listed "+timebase.ClockMillis(cue.EffectAt))
	if cue.Note != "" {
		lines = append(lines, cue.Note)
	}
	return append(lines, fmt.Sprintf("line %d of %s", cue.Line, m.Show.CuesFile))
}

// panelLines wraps lines into a panel, as many as there is room for all of, the first one
// strong.
func panelLines(c *screen.Canvas, r screen.Rectangle, lines []string) {
	p := c.Paragraph(r)
	for k, s := range lines {
		style := screen.Normal
		if k == 0 {
			style = screen.Strong
		}
		p.WriteWhole(s, style)
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
