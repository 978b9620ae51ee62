package tui

import (
	"fmt"
	"strings"

	"drylane/playback/desk"
)

// draw draws the whole screen from the snapshot.
func (m *SoundCheck) draw() {
	c := &m.canvas
	c.ascii = m.ASCII
	c.reset(m.width, m.height)
	if m.width == 0 || m.height == 0 {
		return
	}
	if m.lay.tooSmall {
		m.drawTooSmall(c)
		return
	}
	m.drawBar(c)
	m.drawTime(c)
	m.drawFacts(c)
	m.drawMeters(c)
	m.drawList(c)
	m.drawWords(c)
	r := m.lay.ears
	c.text(r.x+1, r.y, r.w-2, earsWords, Caution)
	m.drawMessage(c)
	m.drawKeys(c)
	if m.help {
		m.drawHelp(c)
	}
}

// earsWords stands on the screen always.
const earsWords = "EARS: start low, and warn everybody near the loudspeakers first."

// drawBar says what this is, and what it is not.
func (m *SoundCheck) drawBar(c *canvas) {
	mark, word, style := "○", "stopped", BarSafe
	if m.snap.Playing {
		mark, word, style = "▸", "playing", BarEnded
	}
	c.fill(m.lay.bar, ' ', style)
	x := c.text(1, 0, 40, fmt.Sprintf("%s SOUND CHECK  %s", mark, word), style)
	const end = "nothing is armed, no cue runs "
	if room := c.w - x - len(end) - 6; room > 8 {
		c.text(x+3, 0, room, m.Title, style)
	}
	c.right(c.w, 0, end, style)
}

func (m *SoundCheck) drawTime(c *canvas) {
	style := ClockOff
	if m.snap.Playing {
		style = ClockRun
	}
	drawTime(c, m.lay.clock, m.lay.digit, m.snap.Position, style)
}

// drawFacts says what plays, how loud it is and through what.
func (m *SoundCheck) drawFacts(c *canvas) {
	r, s := m.lay.facts, m.snap
	fact := func(row int, label, text string, style Style) {
		c.text(r.x, r.y+row, 7, label, Quiet)
		c.text(r.x+8, r.y+row, r.w-8, text, style)
	}
	title, now, nowStyle := "nothing yet", "-", Quiet
	if s.Source >= 0 {
		src := m.Sources[s.Source]
		title = src.Title()
		if src.Endless() && s.Playing {
			if now = src.Signal.Now(s.Position); now == "" {
				now = "plays until it is stopped"
			}
			nowStyle = Strong
		}
	}
	if s.Length > 0 {
		now = fmt.Sprintf("%s of %s", clockText(s.Position), clockText(s.Length))
		nowStyle = Normal
	}
	fact(0, "SOUND", title, Strong)
	fact(1, "NOW", now, nowStyle)
	loud := "M %s   S %s LUFS" // the abbreviations of EBU Tech 3341
	if r.w > 60 {
		loud = "%s momentary, %s short-term LUFS"
	}
	fact(2, "LOUD", fmt.Sprintf(loud, lufs(s.Momentary), lufs(s.ShortTerm)), Normal)
	text, style := m.outputText()
	fact(3, "OUT", text, style)
	text, style = m.overText()
	fact(4, "LIMIT", text, style)
}

func (m *SoundCheck) outputText() (string, Style) {
	s := m.snap
	switch {
	case m.Quiet:
		return "no sound device: NOTHING IS HEARD", Alarm
	case s.Output == "":
		return "closed; playing opens it", Quiet
	case s.Underruns > 0:
		return fmt.Sprintf("ran dry %d times, %d Hz, %s", s.Underruns, s.Rate, s.Output), Caution
	}
	return fmt.Sprintf("%d Hz, %d ms late, %s", s.Rate, s.Latency.Milliseconds(), s.Output), Normal
}

// overText says how high the gains may go, and what went over full scale.
func (m *SoundCheck) overText() (string, Style) {
	s := m.snap
	switch {
	case s.Overs > 0:
		return fmt.Sprintf("CLIPPED: %d samples (%s clears)", s.Overs, m.keys.Name(CheckForget)), Alarm
	case s.Over:
		return fmt.Sprintf("gains may go to %+.1f dB (%s ends that)", desk.OverGain.DB(), m.keys.Name(CheckOver)), Caution
	}
	return "gains go to 0 dB and no higher", Normal
}

// drawMessage draws what went wrong, or what can be done now.
func (m *SoundCheck) drawMessage(c *canvas) {
	r := m.lay.message
	text, style := m.messageText()
	c.text(r.x+1, r.y, r.w-2, text, style)
}

func (m *SoundCheck) messageText() (string, Style) {
	s, k := m.snap, m.keys.Name
	switch {
	case s.Failure:
		return s.Message, Alarm
	case s.Message != "" && !s.Playing && m.now.Sub(s.MessageAt) < messageFor:
		return s.Message, Normal
	case s.Playing:
		return fmt.Sprintf("%s stops at once", k(CheckStop)), Quiet
	case len(m.Warn) > 0:
		return "the show: " + strings.Join(m.Warn, "; "), Caution
	}
	return fmt.Sprintf("%s plays the marked line with gains of left %s, right %s dB", k(CheckPlay), s.Gain[0], s.Gain[1]), Quiet
}

func (m *SoundCheck) drawTooSmall(c *canvas) {
	word := "stopped"
	if m.snap.Playing {
		word = "playing"
	}
	for y, line := range []string{
		"SOUND CHECK  " + word,
		fmt.Sprintf("left %s dB, right %s dB", m.snap.Gain[0], m.snap.Gain[1]),
		"",
		"This window is too small:",
		fmt.Sprintf("%d x %d, and the sound check", m.width, m.height),
		fmt.Sprintf("needs %d x %d.", minWidth, minHeight),
		fmt.Sprintf("The keys go on: %s stops.", m.keys.Name(CheckStop)),
	} {
		c.text(0, y, c.w, line, Normal)
	}
}
