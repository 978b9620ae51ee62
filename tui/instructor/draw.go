package instructor

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
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

// rate is the soundtrack's, in frames a second.
func (m *Screen) rate() int { return max(1, m.view.Welcome.Rate) }

// heard is how much of the music the trainee has heard.
func (m *Screen) heard() time.Duration {
	f, _ := m.view.Heard()
	return f.At(m.rate())
}

// drawBar says the trainee's state by word, mark and colour, and that this is
// the instructor's side.
func (m *Screen) drawBar(c *screen.Canvas) {
	v, look := &m.view, screen.StateLookOf(m.state())
	state := fmt.Sprintf("%s %s  for %s", look.Mark, look.Word, screen.ClockText(v.State.For+m.passed(v.Silent)))
	switch {
	case v.Over:
		look = screen.StateLookOf(show.Ended)
		state = fmt.Sprintf("× GONE  last seen %s", v.State.State)
	case v.Lost:
		look = screen.StateLookOf(show.Held)
		state = fmt.Sprintf("× LINK LOST  for %s, last seen %s", screen.ClockText(v.Silent), v.State.State)
	case !v.Came:
		state = "… waiting for the trainee's state"
	}
	c.Fill(m.lay.bar, ' ', look.Bar)
	x := c.Text(1, 0, 40, state, look.Bar)
	left := max(0, v.Welcome.Length-m.heard())
	end := fmt.Sprintf("INSTRUCTOR  %s left ", screen.ClockText(left))
	title := v.Welcome.Title
	if v.Planned.Drill != "" {
		title = v.Planned.Drill + " - " + title
	}
	if room := c.W - x - len(end) - 6; room > 8 {
		c.Text(x+3, 0, room, title, look.Bar)
	}
	c.Right(c.W, 0, end, look.Bar)
}

func (m *Screen) drawFacts(c *screen.Canvas) {
	lines := []func(c *screen.Canvas, x, y, room int) (label string){m.factNudge, m.factNext, m.factDrift, m.factSky, m.factSound, m.factFaults}
	if m.view.Watched.Field != "" { // before an arming: nothing is next, and nobody taps
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
	s, style := &m.view.Watched, screen.Strong
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

// notKnown stands in the place of what changes while nothing is heard.
const notKnown = "not known while the link is lost"

func (m *Screen) factNext(c *screen.Canvas, x, y, room int) string {
	text, style := "no more cues", screen.Quiet
	if m.view.Lost {
		text, style = notKnown, screen.Alarm
	}
	for _, n := range m.view.Watched.Next {
		if !n.Down && !m.view.Lost {
			text, style = screen.Next(m.until(n.Lit), m.until(n.Seen), m.Shown(n.ID), m.Shown(n.Position), room), screen.Strong
			break
		}
	}
	c.Text(x, y, room, text, style)
	return "NEXT"
}

// until is how long it is until the frame f is heard.
func (m *Screen) until(f int64) time.Duration { return max(0, m.view.Until(f)) }

// factField says on a line of its own how the field stands while the show is safe, and
// on the next what does not fit on it.
func (m *Screen) factField(line int) func(c *screen.Canvas, x, y, room int) string {
	return func(c *screen.Canvas, x, y, room int) string {
		if lines := m.Wrap(m.view.Watched.Field, room); line < len(lines) {
			c.Text(x, y, room, lines[line], screen.Strong)
		}
		if line > 0 {
			return ""
		}
		return "FIELD"
	}
}

func (m *Screen) factDrift(c *screen.Canvas, x, y, room int) string {
	c.Text(x, y, room, m.view.Watched.Drift, screen.Normal)
	return "TAPS"
}

// factSky says what is still up.
func (m *Screen) factSky(c *screen.Canvas, x, y, room int) string {
	s := &m.view.Watched
	var last time.Duration
	style := screen.Normal
	switch {
	case m.view.Lost:
		c.Text(x, y, room, notKnown, screen.Alarm)
		return "SKY"
	case len(s.Up) == 0 && s.Unknown == 0:
		style = screen.Quiet
	case m.state() == show.Held:
		style = screen.Alarm
	}
	if len(s.Up) > 0 {
		last = m.burning(s.Up[0].Clear)
	}
	text, label := screen.StillUp(s.UpAll, last, s.Unknown), "SKY"
	if list, ok := strings.CutPrefix(text, "LIST: "); ok && m.Width(text) > room {
		text, label = list, "LIST"
	}
	c.Text(x, y, room, text, style)
	return label
}

// burning is what is left of d for something that was lit: it burns on whether
// the music runs or not.
func (m *Screen) burning(d time.Duration) time.Duration { return max(0, d-m.passed(m.view.Age)) }

// factSound shows the level of what the trainee hears.
func (m *Screen) factSound(c *screen.Canvas, x, y, room int) string {
	s := &m.view.Watched
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
	c.Text(x, y, room, fmt.Sprintf("%d of %d gone", m.view.Watched.Gone, m.view.Welcome.Cues), screen.Normal)
	return "CUES"
}

// drawMessage says what went wrong, what was answered, or what to do.
func (m *Screen) drawMessage(c *screen.Canvas) {
	r := m.lay.message
	text, style := m.messageText()
	c.Text(r.X+1, r.Y, r.W-2, text, style)
}

// staleAfter is how late word of the drill may be before the instructor is told.
const staleAfter = 1500 * time.Millisecond

func (m *Screen) messageText() (string, screen.Style) {
	v := &m.view
	switch {
	case v.Over:
		return "the run has ended on the trainee's side; this is how it was left. q leaves", screen.Alarm
	case m.overlay == endMenu:
		return "end this drill? y / n   The trainee's run ends with it and is scored.", screen.Dialog
	case v.Lost:
		return "nothing is heard of the trainee's side; HOLD by radio or by voice", screen.Alarm
	case !m.answerAt.IsZero() && m.now.Sub(m.answerAt) < screen.MessageFor:
		return m.answerText()
	case !m.calledAt.IsZero() && m.now.Sub(m.calledAt) < 2*time.Second && m.state() == show.Running:
		return "HOLD called", screen.Alarm
	case v.Came && v.Age > staleAfter:
		return fmt.Sprintf("no word of the drill for %s: taps, score and what is up are as they were", screen.ClockText(v.Age)), screen.Caution
	}
	if enter := v.Enter(); enter != "" {
		return enter + ". Nothing is fired.", screen.Alarm
	}
	return "what you do here changes the trainee's run at once. Nothing is fired.", screen.Quiet
}

// answerText is what came of the latest thing that was asked for here.
func (m *Screen) answerText() (string, screen.Style) {
	switch a := m.view.Answer; {
	case a.Refused != "":
		return "not done: " + a.Refused, screen.Alarm
	case a.Done != "":
		return "done: " + a.Done, screen.Good
	}
	return "HOLD called", screen.Alarm
}

func (m *Screen) drawKeys(c *screen.Canvas) {
	var keys []screen.Hint
	if m.overlay == endMenu {
		c.KeyLine(m.lay.keys, []screen.Hint{{Key: "y", Label: "end the drill"}, {Key: "n", Label: "go on"}})
		return
	}
	bindings := slices.Clone(m.keys.Bindings) // where room is short, the theme can wait
	slices.SortStableFunc(bindings, func(a, b screen.Binding) int { return cmp.Compare(isTheme(a), isTheme(b)) })
	for _, b := range bindings {
		if _, opens := menuOf[b.Act]; !m.view.Over || !opens && b.Act != actHold {
			keys = append(keys, screen.Hint{Key: screen.KeyLabel(b.Keys[0]), Label: b.Label})
		}
	}
	c.KeyLine(m.lay.keys, keys)
}

// isTheme is 1 for the key of the themes, and 0 for any other.
func isTheme(b screen.Binding) int {
	if b.Act == screen.ActTheme {
		return 1
	}
	return 0
}

func (m *Screen) drawTooSmall(c *screen.Canvas) {
	goesOn := "The run goes on."
	if m.view.Over {
		goesOn = "It has ended on the trainee's side."
	}
	c.TooSmall("screen", goesOn, screen.StateLookOf(m.state()).Word+"  "+timebase.ClockTenths(m.heard()), words.Nudge(m.view.Watched.Asked))
}
