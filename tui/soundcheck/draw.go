package soundcheck

import (
	"fmt"
	"strings"

	"drylane/playback/desk"
	"drylane/tui/screen"
)

// View implements tea.Model: it draws the latest snapshot.
func (m *Screen) View() string {
	return m.canvas.Picture(m.Look, m.draw, m.drawTooSmall)
}

func (m *Screen) draw(c *screen.Canvas) {
	m.drawBar(c)
	m.drawTime(c)
	m.drawFacts(c)
	m.drawMeters(c)
	m.drawList(c)
	m.drawWords(c)
	r := m.lay.ears
	c.Text(r.X+1, r.Y, r.W-2, earsWords, screen.Caution)
	m.drawMessage(c)
	m.drawKeys(c)
	if m.help {
		m.drawHelp(c)
	}
}

// earsWords are always on the screen.
const earsWords = "EARS: start low, and warn everybody near the loudspeakers first."

// drawBar says what this is, and what it is not.
func (m *Screen) drawBar(c *screen.Canvas) {
	mark, word, style := "○", "stopped", screen.BarSafe
	if m.snap.Playing {
		mark, word, style = "▸", "playing", screen.BarEnded
	}
	c.Fill(m.lay.bar, ' ', style)
	x := c.Text(1, 0, 40, fmt.Sprintf("%s SOUND CHECK  %s", mark, word), style)
	const end = "nothing is armed, no cue runs "
	if room := c.W - x - len(end) - 6; room > 8 {
		c.Text(x+3, 0, room, m.Title, style)
	}
	c.Right(c.W, 0, end, style)
}

func (m *Screen) drawTime(c *screen.Canvas) {
	style := screen.ClockOff
	if m.snap.Playing {
		style = screen.ClockRun
	}
	c.Time(m.lay.Band, m.snap.Position, style)
}

// drawFacts says what plays, how loud it is and through what.
func (m *Screen) drawFacts(c *screen.Canvas) {
	r, s := m.lay.Facts, m.snap
	fact := func(row int, label, text string, style screen.Style) {
		c.Text(r.X, r.Y+row, 7, label, screen.Quiet)
		c.Text(r.X+8, r.Y+row, r.W-8, text, style)
	}
	title, now, nowStyle := "nothing yet", "-", screen.Quiet
	if s.Source >= 0 {
		src := m.Sources[s.Source]
		title = src.Title()
		if src.Endless() && s.Playing {
			if now = src.Signal.Now(s.Position); now == "" {
				now = "plays until it is stopped"
			}
			nowStyle = screen.Strong
		}
	}
	if s.Length > 0 {
		now = fmt.Sprintf("%s of %s", screen.ClockText(s.Position), screen.ClockText(s.Length))
		nowStyle = screen.Normal
	}
	fact(0, "SOUND", title, screen.Strong)
	fact(1, "NOW", now, nowStyle)
	loud := "M %s   S %s LUFS" // the abbreviations of EBU Tech 3341
	if r.W > 60 {
		loud = "%s momentary, %s short-term LUFS"
	}
	fact(2, "LOUD", fmt.Sprintf(loud, lufs(s.Momentary), lufs(s.ShortTerm)), screen.Normal)
	text, style := m.outputText()
	fact(3, "OUT", text, style)
	text, style = m.overText()
	fact(4, "LIMIT", text, style)
}

func (m *Screen) outputText() (string, screen.Style) {
	s := m.snap
	switch {
	case m.Quiet:
		return "no sound device: NOTHING IS HEARD", screen.Alarm
	case s.Output == "":
		return "closed; playing opens it", screen.Quiet
	case s.Underruns > 0:
		return fmt.Sprintf("ran dry %d times, %d Hz, %s", s.Underruns, s.Rate, s.Output), screen.Caution
	}
	return fmt.Sprintf("%d Hz, %d ms late, %s", s.Rate, s.Latency.Milliseconds(), s.Output), screen.Normal
}

// overText says how high the gains may go, and what went over full scale.
func (m *Screen) overText() (string, screen.Style) {
	s := m.snap
	switch {
	case s.Overs > 0:
		return fmt.Sprintf("CLIPPED: %d samples (%s clears)", s.Overs, m.keys.Name(actForget)), screen.Alarm
	case s.Over:
		return fmt.Sprintf("gains may go to %+.1f dB (%s ends that)", desk.OverGain.DB(), m.keys.Name(actOver)), screen.Caution
	}
	return "gains go to 0 dB and no higher", screen.Normal
}

// drawMessage draws what went wrong, or what can be done now.
func (m *Screen) drawMessage(c *screen.Canvas) {
	r := m.lay.message
	text, style := m.messageText()
	c.Text(r.X+1, r.Y, r.W-2, text, style)
}

func (m *Screen) messageText() (string, screen.Style) {
	s, k := m.snap, m.keys.Name
	switch {
	case s.Failure:
		return s.Message, screen.Alarm
	case s.Message != "" && !s.Playing && m.now.Sub(s.MessageAt) < screen.MessageFor:
		return s.Message, screen.Normal
	case s.Playing:
		return fmt.Sprintf("%s stops at once", k(actStop)), screen.Quiet
	case len(m.Warn) > 0:
		return "the show: " + strings.Join(m.Warn, "; "), screen.Caution
	}
	return fmt.Sprintf("%s plays the marked line with gains of left %s, right %s dB", k(actPlay), s.Gain[0], s.Gain[1]), screen.Quiet
}

func (m *Screen) drawTooSmall(c *screen.Canvas) {
	word := "stopped"
	if m.snap.Playing {
		word = "playing"
	}
	c.TooSmall("sound check", fmt.Sprintf("The keys go on: %s stops.", m.keys.Name(actStop)),
		"SOUND CHECK  "+word, fmt.Sprintf("left %s dB, right %s dB", m.snap.Gain[0], m.snap.Gain[1]))
}
