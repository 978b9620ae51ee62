package tui

import (
	"fmt"
	"time"

	"drylane/show"

	"github.com/rivo/uniseg"
)

// draw draws the whole screen from what is known of the run.
func (m *Instructor) draw() {
	c := &m.canvas
	c.ascii = m.ASCII
	c.reset(m.width, m.height)
	switch {
	case m.width == 0 || m.height == 0:
		return
	case m.lay.tooSmall:
		m.drawTooSmall(c)
		return
	}
	m.drawBar(c)
	drawTime(c, m.lay.clock, m.lay.digit, m.heard(), stateLook[m.state()].clock)
	m.drawFacts(c)
	m.drawNext(c)
	m.drawTaps(c)
	m.drawUp(c)
	m.drawSteps(c)
	m.drawEvents(c)
	m.drawMessage(c)
	m.drawKeys(c)
	m.drawMenu(c)
}

// state is the trainee's; what is not known counts as safe.
func (m *Instructor) state() show.State {
	for s := range stateLook {
		if s.String() == m.view.State.State {
			return s
		}
	}
	return show.Safe
}

// heard is how much of the music the trainee has heard.
func (m *Instructor) heard() time.Duration {
	d := m.view.State.Heard
	if m.state() == show.Running {
		d += m.passed()
	}
	return min(d, max(m.Hello.Length, m.view.State.Heard))
}

// drawBar says the trainee's state by word, mark and colour, and that this is
// the instructor's side.
func (m *Instructor) drawBar(c *canvas) {
	look := stateLook[m.state()]
	state := fmt.Sprintf("%s %s  for %s", look.mark, look.word, clockText(m.view.State.For+m.passed()))
	switch {
	case m.view.Ended != "":
		look = stateLook[show.Ended]
		state = fmt.Sprintf("× GONE  last seen %s", m.view.State.State)
	case m.view.At.IsZero():
		state = "… waiting for the trainee's state"
	}
	c.fill(m.lay.bar, ' ', look.bar)
	x := c.text(1, 0, 40, state, look.bar)
	left := max(0, m.Hello.Length-m.heard())
	end := fmt.Sprintf("INSTRUCTOR  %s left ", clockText(left))
	title := m.Hello.Show
	if m.Hello.Drill != "" {
		title = m.Hello.Drill + " - " + title
	}
	if room := c.w - x - len(end) - 6; room > 8 {
		c.text(x+3, 0, room, title, look.bar)
	}
	c.right(c.w, 0, end, look.bar)
}

func (m *Instructor) drawFacts(c *canvas) {
	lines := []func(c *canvas, x, y, room int) (label string){m.factNudge, m.factNext, m.factDrift, m.factSky, m.factSound, m.factFaults}
	r := m.lay.facts
	if r.h > len(lines) {
		lines = append(lines, m.factCues)
	}
	for row, draw := range lines {
		label := draw(c, r.x+7, r.y+row, r.w-7)
		c.text(r.x, r.y+row, 7, label, Quiet)
	}
}

// factNudge says the nudge in words: in force, and asked for while it differs.
func (m *Instructor) factNudge(c *canvas, x, y, room int) string {
	s, style := &m.view.State, Strong
	if s.InForce != 0 {
		style = NudgeOn
	}
	end := x + room
	x = c.text(x, y, room, show.NudgeWords(s.InForce), style)
	if s.After != "" {
		words := fmt.Sprintf(" → %s after cue %s", show.NudgeWords(s.Asked), s.After)
		if uniseg.StringWidth(words) > end-x {
			words = fmt.Sprintf(" → %s after %s", show.NudgeWords(s.Asked), s.After)
		}
		c.text(x, y, end-x, words, Caution)
	}
	return "NUDGE"
}

func (m *Instructor) factNext(c *canvas, x, y, room int) string {
	text, style := "no more cues", Quiet
	for _, n := range m.view.State.Next {
		if !n.Down {
			text, style = fmt.Sprintf("%s cue %s %s", toGo(m.until(n.In)), n.Cue, n.Position), Strong
			break
		}
	}
	c.text(x, y, room, text, style)
	return "NEXT"
}

// until is how long it takes a cue that was to fire in d.
func (m *Instructor) until(d time.Duration) time.Duration {
	if m.state() == show.Running {
		d -= m.passed()
	}
	return max(0, d)
}

func (m *Instructor) factDrift(c *canvas, x, y, room int) string {
	c.text(x, y, room, m.view.State.Drift, Normal)
	return "DRIFT"
}

// factSky says what is still up.
func (m *Instructor) factSky(c *canvas, x, y, room int) string {
	s := &m.view.State
	if len(s.Up) == 0 {
		c.text(x, y, room, "clear", Quiet)
		return "SKY"
	}
	style := Normal
	if m.state() == show.Held {
		style = Alarm
	}
	c.text(x, y, room, fmt.Sprintf("%d still up, clear %s", s.UpAll, toGoUp(m.burning(s.Up[0].Clear))), style)
	return "SKY"
}

// burning is what is left of d for something that was lit: it burns on whether
// the music runs or not.
func (m *Instructor) burning(d time.Duration) time.Duration { return max(0, d-m.passed()) }

// factSound shows the level of what the trainee hears.
func (m *Instructor) factSound(c *canvas, x, y, room int) string {
	s := &m.view.State
	switch {
	case s.Lost:
		c.text(x, y, room, "LOST: no sound device", Alarm)
		return "SOUND"
	case s.Mute:
		c.text(x, y, room, "none: silent clock", Caution)
		return "SOUND"
	}
	each := max(8, room/5)
	for ch, name := range []string{"L", "R"} {
		c.text(x, y, 1, name, Quiet)
		drawMeter(c, x+1, y, each-1, s.Level[ch])
		x, room = x+each+1, room-each-1
	}
	c.text(x, y, room, deviceName(s.Output), Quiet)
	return "SOUND"
}

func (m *Instructor) factFaults(c *canvas, x, y, room int) string {
	text, style := m.faults.Words(), Alarm
	if text == "" {
		text, style = "none: all works", Quiet
	}
	c.text(x, y, room, text, style)
	return "FAULTS"
}

func (m *Instructor) factCues(c *canvas, x, y, room int) string {
	c.text(x, y, room, fmt.Sprintf("%d of %d gone", m.view.State.Gone, m.Hello.Cues), Normal)
	return "CUES"
}

// drawMessage says what went wrong, what was answered, or what to do.
func (m *Instructor) drawMessage(c *canvas) {
	r := m.lay.message
	text, style := m.messageText()
	c.text(r.x+1, r.y, r.w-2, text, style)
}

// staleAfter is how late a state may be before the instructor is told.
const staleAfter = 1500 * time.Millisecond

func (m *Instructor) messageText() (string, Style) {
	v := &m.view
	switch {
	case v.Ended != "":
		return v.Ended + "; this is how it was left. q leaves", Alarm
	case m.trouble != "":
		return m.trouble, Alarm
	case !m.answerAt.IsZero() && m.now.Sub(m.answerAt) < messageFor:
		if v.Refused {
			return "not done: " + v.Answer, Alarm
		}
		return "done: " + v.Answer, Good
	case m.stale() > staleAfter:
		return fmt.Sprintf("no word from the trainee's side for %s", clockText(m.stale())), Caution
	}
	return "what you do here befalls the trainee's run at once. Nothing is fired.", Quiet
}

func (m *Instructor) drawKeys(c *canvas) {
	var keys []keyHint
	for _, b := range m.keys.Bindings {
		if _, opens := menuOf[b.Act]; !opens || m.view.Ended == "" {
			keys = append(keys, keyHint{keyLabel(b.Keys[0]), b.Label})
		}
	}
	drawKeyLine(c, m.lay.keys, keys)
}

func (m *Instructor) drawTooSmall(c *canvas) {
	s, d := tenths(m.heard())
	lines := []string{
		fmt.Sprintf("%s  %d:%02d.%d", stateLook[m.state()].word, s/60, s%60, d),
		show.NudgeWords(m.view.State.Asked),
		"",
		"This window is too small:",
		fmt.Sprintf("%d x %d, and the screen", m.width, m.height),
		fmt.Sprintf("needs %d x %d.", minWidth, minHeight),
		"The run goes on.",
	}
	if m.view.Ended != "" {
		lines[6] = m.view.Ended
	}
	for y, line := range lines {
		c.text(0, y, c.w, line, Normal)
	}
}
