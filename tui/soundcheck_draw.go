package tui

import (
	"fmt"
	"math"
	"strings"

	"drylane/playback/loudness"
	"drylane/tui/desk"
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
	s, t := tenths(m.snap.Position)
	text := fmt.Sprintf("%d:%02d.%d", s/60, s%60, t)
	r, style := m.lay.clock, ClockOff
	if m.snap.Playing {
		style = ClockRun
	}
	x := r.x + max(0, r.w-2-clockWidth(text, m.lay.digit)) // the tenths keep their place
	drawClock(c, x, r.y, m.lay.digit, r.h, text, style)
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
		return "opened with the first sound", Quiet
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

// lufs is a loudness in a fixed width; silence is a dash.
func lufs(l loudness.Level) string {
	if math.IsInf(float64(l), -1) {
		return "    -"
	}
	return fmt.Sprintf("%5s", l)
}

// dbfs is a peak in dBFS in a fixed width; silence is a dash.
func dbfs(peak float64) string {
	if peak < 1e-6 {
		return "    -"
	}
	return fmt.Sprintf("%5.1f", 20*math.Log10(peak))
}

// meterBottom is the level at the left end of the check's meters, in dBFS.
const meterBottom = -60

// meterRoom is what stands right of a meter.
const meterRoom = 38

// drawMeters draws both sides' levels with their gains.
func (m *SoundCheck) drawMeters(c *canvas) {
	r, s := m.lay.meters, m.snap
	in := heading(c, r, "level at the output, dBFS peak")
	bar := rect{in.x + 3, in.y, in.w - 3 - meterRoom, m.lay.tall}
	for ch, side := range []string{"L", "R"} {
		c.text(in.x, bar.y, 2, side, Strong)
		drawLevel(c, bar, s.Peak[ch], s.Held[ch])
		x := c.text(bar.x+bar.w+1, bar.y, 18, fmt.Sprintf("%s  max %s", dbfs(s.Held[ch]), dbfs(s.Max[ch])), Normal) + 2
		text, style := gainText(s.Gain[ch], s.Mute[ch])
		x = c.text(x, bar.y, 14, text, style)
		keys := [][2]Act{{CheckLeftUp, CheckLeftDown}, {CheckRightUp, CheckRightDown}}[ch]
		c.text(max(x+1, bar.x+bar.w+34), bar.y, 4, m.keys.Name(keys[0])+" "+m.keys.Name(keys[1]), KeyName)
		bar.y += m.lay.tall
	}
	drawScale(c, bar.x, bar.y, bar.w)
}

// drawScale writes levels under a meter, as many as there is room for.
func drawScale(c *canvas, x, y, w int) {
	free := x + w
	for _, at := range []int{0, -6, -12, -18, -24, -36, -48, -60} {
		text := fmt.Sprint(at)
		from := x + w*(at-meterBottom)/-meterBottom
		if from = min(from, x+w-len(text)); from+len(text) <= free {
			c.text(from, y, len(text), text, Quiet)
			free = from - 1
		}
	}
}

// gainText says a side's gain in words.
func gainText(g desk.Half, mute bool) (string, Style) {
	switch {
	case mute:
		return fmt.Sprintf("OFF (%s dB)", g), Caution
	case g > 0:
		return fmt.Sprintf("gain +%s dB", g), Alarm
	}
	return fmt.Sprintf("gain %s dB", g), Strong
}

// drawLevel draws a peak from meterBottom to 0 dBFS, and a mark at the peak
// held.
func drawLevel(c *canvas, r rect, peak, held float64) {
	column := func(v float64) int {
		return int(float64(r.w)*(20*math.Log10(max(v, 1e-9))-meterBottom)/-meterBottom + 0.5)
	}
	lit, mark := column(peak), column(held)-1
	for k := range r.w {
		style, ch := MeterLow, '▮'
		switch hot := k >= r.w*(-meterBottom-3)/-meterBottom; { // the last 3 dB
		case k == min(mark, r.w-1):
			ch, style = '┃', Strong
			if hot {
				style = MeterHot
			}
		case k >= lit:
			ch, style = '▯', Faint
		case hot:
			style = MeterHot
		}
		c.fill(rect{r.x + k, r.y, 1, r.h}, ch, style)
	}
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
