package tui

import (
	"fmt"
	"strings"

	"drylane/playback"
	"drylane/playback/desk"
	"drylane/show"
)

// drawList lists what can be played: the signals, then the files.
func (m *SoundCheck) drawList(c *canvas) {
	r := heading(c, m.lay.list, "what to play")
	m.first = max(0, min(m.first, m.mark))
	m.first = max(m.first, m.mark-r.h+1)
	for y := 0; y < r.h && m.first+y < len(m.Sources); y++ {
		m.drawSource(c, rect{r.x, r.y + y, r.w, 1}, m.first+y)
	}
	if left := len(m.Sources) - m.first - r.h; left > 0 {
		c.right(r.x+r.w, r.y-1, fmt.Sprintf(" %d more ", left), Quiet)
	}
}

func (m *SoundCheck) drawSource(c *canvas, r rect, i int) {
	src := m.Sources[i]
	end, style := lengthText(src)
	if i == m.mark {
		style = Selected
	}
	c.fill(r, ' ', style)
	if i == m.snap.Source {
		mark := '■'
		if m.snap.Playing {
			mark = '▸'
		}
		c.set(r.x, r.y, mark, style)
	}
	c.text(r.x+2, r.y, r.w-len(end)-4, src.Title(), style)
	c.right(r.x+r.w, r.y, end+" ", style)
}

// lengthText is what stands behind a source in the list: how long it is, or
// what is wrong with it.
func lengthText(src desk.Source) (string, Style) {
	f := src.File
	switch {
	case f == nil:
		return "test", Normal
	case f.Problem != "":
		return "cannot play", Alarm
	case f.Info.Truncated != "":
		return "cut off " + clockText(f.Info.Duration()), Caution
	case f.Caution != "":
		return "unsure " + clockText(f.Info.Duration()), Caution
	}
	return clockText(f.Info.Duration()), Normal
}

// drawWords says of the marked line what it is and what to listen for.
func (m *SoundCheck) drawWords(c *canvas) {
	title := "listen for"
	src := m.Sources[m.mark]
	if src.File != nil {
		title = "the file"
	}
	r := heading(c, m.lay.words, title)
	r.w = min(r.w, 76) // longer lines read badly
	line := func(s string, style Style) {
		for _, l := range wrap(s, r.w) {
			if r.h > 0 && l != "" {
				c.text(r.x, r.y, r.w, l, style)
				r.y++
				r.h--
			}
		}
	}
	if src.File == nil {
		line(m.levelWords(src.Signal), Strong)
		line(src.Signal.Listen(), Normal)
		return
	}
	f := src.File
	line(show.Clean(f.Name), Strong)
	line(f.Problem, Alarm)
	line(f.Caution, Caution)
	if f.Problem == "" {
		line(formatWords(f.Info), Normal)
	}
	line("Used as: "+strings.Join(f.Uses, "; "), Normal)
	if f.Problem == "" {
		line("Listen on every loudspeaker: both sides there, nothing missing, nothing distorted, and the same music as rehearsed.", Quiet)
	}
}

// levelWords says how loud a signal is set and what leaves the output.
func (m *SoundCheck) levelWords(s desk.Signal) string {
	level := s.Level(m.snap.Level)
	out := [2]string{}
	for ch, g := range m.snap.Gain {
		if out[ch] = (level + g).String(); m.snap.Mute[ch] {
			out[ch] = "off"
		}
	}
	return fmt.Sprintf("level %s dBFS (keys %s and %s), at the output: left %s, right %s", level, m.keys.Name(CheckLevelDown), m.keys.Name(CheckLevelUp), out[0], out[1])
}

// formatWords says how a file is made.
func formatWords(i playback.Info) string {
	channels := "stereo"
	if i.Channels == 1 {
		channels = "mono, on both sides"
	}
	return fmt.Sprintf("%s, %d Hz, %s, %s", i.Format, i.Rate, channels, clockText(i.Duration()))
}

// drawKeys draws the labelled keys.
func (m *SoundCheck) drawKeys(c *canvas) {
	var keys []keyHint
	for _, b := range m.keys.Bindings {
		if b.Label != "" {
			keys = append(keys, keyHint{keyLabel(b.Keys[0]), b.Label})
		}
	}
	drawKeyLine(c, m.lay.keys, keys)
}

// drawHelp lists the key table; the bar stays in sight.
func (m *SoundCheck) drawHelp(c *canvas) {
	m.helpTop = drawKeyTable(c, m.keys.Bindings, "sound check: keys", m.helpTop, c.h-2,
		"any key closes this; "+m.keys.Name(CheckStop)+" stops the sound")
}
