package instructor

import (
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// View implements tea.Model: it draws what is known of the run.
func (m *Screen) View() string {
	return m.canvas.Picture(m.Look, m.draw, m.drawTooSmall)
}

func (m *Screen) draw(c *screen.Canvas) {
	m.drawBar(c)
	c.Time(m.lay.Band, m.heard(), screen.StateLookOf(m.state()).Clock)
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
func (m *Screen) state() show.State {
	for s := show.Safe; s <= show.Ended; s++ {
		if s.String() == m.view.State.State {
			return s
		}
	}
	return show.Safe
}

// heard is how much of the music the trainee has heard.
func (m *Screen) heard() time.Duration {
	d := m.view.State.Heard
	if m.state() == show.Running {
		d += m.passed()
	}
	return min(d, max(m.Hello.Length, m.view.State.Heard))
}

// drawBar says the trainee's state by word, mark and colour, and that this is
// the instructor's side.
func (m *Screen) drawBar(c *screen.Canvas) {
	look := screen.StateLookOf(m.state())
	state := fmt.Sprintf("%s %s  for %s", look.Mark, look.Word, screen.ClockText(m.view.State.For+m.passed()))
	switch {
	case m.view.Ended != "":
		look = screen.StateLookOf(show.Ended)
		state = fmt.Sprintf("× GONE  last seen %s", m.view.State.State)
	case m.view.At.IsZero():
		state = "… waiting for the trainee's state"
	}
	c.Fill(m.lay.bar, ' ', look.Bar)
	x := c.Text(1, 0, 40, state, look.Bar)
	left := max(0, m.Hello.Length-m.heard())
	end := fmt.Sprintf("INSTRUCTOR  %s left ", screen.ClockText(left))
	title := m.Hello.Show
	if m.Hello.Drill != "" {
		title = m.Hello.Drill + " - " + title
	}
	if room := c.W - x - len(end) - 6; room > 8 {
		c.Text(x+3, 0, room, title, look.Bar)
	}
	c.Right(c.W, 0, end, look.Bar)
}

func (m *Screen) drawFacts(c *screen.Canvas) {
	lines := []func(c *screen.Canvas, x, y, room int) (label string){m.factNudge, m.factNext, m.factDrift, m.factSky, m.factSound, m.factFaults}
	if m.view.State.Field != "" { // before an arming: nothing is next, and nobody taps
		lines[1], lines[2] = m.factField(0), m.factField(1)
	}
	r := m.lay.Facts
	if r.H > len(lines) {
		lines = append(lines, m.factCues)
	}
	for row, draw := range lines {
		label := draw(c, r.X+7, r.Y+row, r.W-7)
		c.Text(r.X, r.Y+row, 7, label, screen.Quiet)
	}
}

// factNudge says the nudge in words: in force, and asked for while it differs.
func (m *Screen) factNudge(c *screen.Canvas, x, y, room int) string {
	s, style := &m.view.State, screen.Strong
	if s.InForce != 0 {
		style = screen.NudgeOn
	}
	end := x + room
	x = c.Text(x, y, room, words.Nudge(s.InForce), style)
	if s.After != "" {
		then := fmt.Sprintf(" %s %s after cue %s", m.Becomes(), words.Nudge(s.Asked), s.After)
		if m.Width(then) > end-x {
			then = fmt.Sprintf(" %s %s after %s", m.Becomes(), words.Nudge(s.Asked), s.After)
		}
		c.Text(x, y, end-x, then, screen.Caution)
	}
	return "NUDGE"
}

func (m *Screen) factNext(c *screen.Canvas, x, y, room int) string {
	text, style := "no more cues", screen.Quiet
	for _, n := range m.view.State.Next {
		if !n.Down {
			text, style = screen.Next(m.until(n.In), m.until(n.Seen), m.Shown(n.Cue), m.Shown(n.Position), room), screen.Strong
			break
		}
	}
	c.Text(x, y, room, text, style)
	return "NEXT"
}

// until is how long it takes a cue that was to fire in d.
func (m *Screen) until(d time.Duration) time.Duration {
	if m.state() == show.Running {
		d -= m.passed()
	}
	return max(0, d)
}

// factField says on a line of its own how the field stands while the show is safe, and
// on the next what does not fit on it.
func (m *Screen) factField(line int) func(c *screen.Canvas, x, y, room int) string {
	return func(c *screen.Canvas, x, y, room int) string {
		if lines := m.Wrap(m.view.State.Field, room); line < len(lines) {
			c.Text(x, y, room, lines[line], screen.Strong)
		}
		if line > 0 {
			return ""
		}
		return "FIELD"
	}
}

func (m *Screen) factDrift(c *screen.Canvas, x, y, room int) string {
	c.Text(x, y, room, m.view.State.Drift, screen.Normal)
	return "TAPS"
}

// factSky says what is still up.
func (m *Screen) factSky(c *screen.Canvas, x, y, room int) string {
	s := &m.view.State
	var last time.Duration
	style := screen.Normal
	switch {
	case len(s.Up) == 0 && s.Unknown == 0:
		style = screen.Quiet
	case m.state() == show.Held:
		style = screen.Alarm
	}
	if len(s.Up) > 0 {
		last = m.burning(s.Up[0].Clear)
	}
	c.Text(x, y, room, screen.StillUp(s.UpAll, last, s.Unknown), style)
	return "SKY"
}

// burning is what is left of d for something that was lit: it burns on whether
// the music runs or not.
func (m *Screen) burning(d time.Duration) time.Duration { return max(0, d-m.passed()) }

// factSound shows the level of what the trainee hears.
func (m *Screen) factSound(c *screen.Canvas, x, y, room int) string {
	s := &m.view.State
	switch {
	case s.Lost:
		c.Text(x, y, room, "LOST: no sound device", screen.Alarm)
		return "SOUND"
	case s.Mute:
		c.Text(x, y, room, "none: silent clock", screen.Caution)
		return "SOUND"
	}
	each := max(8, room/5)
	for ch, name := range []string{"L", "R"} {
		c.Text(x, y, 1, name, screen.Quiet)
		c.Meter(x+1, y, each-1, s.Level[ch])
		x, room = x+each+1, room-each-1
	}
	c.Text(x, y, room, screen.DeviceName(s.Output), screen.Quiet)
	return "SOUND"
}

func (m *Screen) factFaults(c *screen.Canvas, x, y, room int) string {
	text, style := m.faults.Words(), screen.Alarm
	if text == "" {
		text, style = "none: all works", screen.Quiet
	}
	c.Text(x, y, room, text, style)
	return "FAULTS"
}

func (m *Screen) factCues(c *screen.Canvas, x, y, room int) string {
	c.Text(x, y, room, fmt.Sprintf("%d of %d gone", m.view.State.Gone, m.Hello.Cues), screen.Normal)
	return "CUES"
}

// drawMessage says what went wrong, what was answered, or what to do.
func (m *Screen) drawMessage(c *screen.Canvas) {
	r := m.lay.message
	text, style := m.messageText()
	c.Text(r.X+1, r.Y, r.W-2, text, style)
}

// staleAfter is how late a state may be before the instructor is told.
const staleAfter = 1500 * time.Millisecond

func (m *Screen) messageText() (string, screen.Style) {
	v := &m.view
	switch {
	case v.Ended != "":
		return v.Ended + "; this is how it was left. q leaves", screen.Alarm
	case m.overlay == endMenu:
		return "end this drill? y / n   The trainee's run ends with it and is scored.", screen.Dialog
	case m.trouble != "":
		return m.trouble, screen.Alarm
	case !m.answerAt.IsZero() && m.now.Sub(m.answerAt) < screen.MessageFor:
		if v.Refused {
			return "not done: " + v.Answer, screen.Alarm
		}
		return "done: " + v.Answer, screen.Good
	case m.stale() > staleAfter:
		return fmt.Sprintf("no word from the trainee's side for %s", screen.ClockText(m.stale())), screen.Caution
	}
	return "what you do here changes the trainee's run at once. Nothing is fired.", screen.Quiet
}

func (m *Screen) drawKeys(c *screen.Canvas) {
	var keys []screen.Hint
	if m.overlay == endMenu {
		c.KeyLine(m.lay.keys, []screen.Hint{{Key: "y", Label: "end the drill"}, {Key: "n", Label: "go on"}})
		return
	}
	for _, b := range m.keys.Bindings {
		if _, opens := menuOf[b.Act]; !opens || m.view.Ended == "" {
			keys = append(keys, screen.Hint{Key: screen.KeyLabel(b.Keys[0]), Label: b.Label})
		}
	}
	c.KeyLine(m.lay.keys, keys)
}

func (m *Screen) drawTooSmall(c *screen.Canvas) {
	goesOn := "The run goes on."
	if m.view.Ended != "" {
		goesOn = m.view.Ended
	}
	c.TooSmall("screen", goesOn, screen.StateLookOf(m.state()).Word+"  "+timebase.ClockTenths(m.heard()), words.Nudge(m.view.State.Asked))
}
