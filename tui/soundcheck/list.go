package soundcheck

import (
	"fmt"
	"strings"

	"drylane/playback"
	"drylane/playback/desk"
	"drylane/show"
	"drylane/tui/screen"
)

// drawList lists what can be played: the signals, then the files.
func (m *Screen) drawList(c *screen.Canvas) {
	r := c.Heading(m.lay.list, "what to play")
	first, last := m.list.Sight(r.H)
	for i := first; i < last; i++ {
		m.drawSource(c, screen.Rect(r.X, r.Y+i-first, r.W, 1), i)
	}
	m.list.More(c, r.X+r.W, r.Y-1, last)
}

func (m *Screen) drawSource(c *screen.Canvas, r screen.Rectangle, i int) {
	src := m.Sources[i]
	end, style := lengthText(src)
	if i == m.list.Mark {
		style = screen.Selected
	}
	c.Fill(r, ' ', style)
	if i == m.snap.Source {
		mark := '■'
		if m.snap.Playing {
			mark = '▸'
		}
		c.Set(r.X, r.Y, mark, style)
	}
	c.Text(r.X+2, r.Y, r.W-len(end)-4, src.Title(), style)
	c.Right(r.X+r.W, r.Y, end+" ", style)
}

// lengthText is what stands behind a source in the list: how long it is, or
// what is wrong with it.
func lengthText(src desk.Source) (string, screen.Style) {
	f := src.File
	switch {
	case f == nil:
		return "test", screen.Normal
	case f.Problem != "":
		return "cannot play", screen.Alarm
	case f.Info.Truncated != "":
		return "cut off " + screen.ClockText(f.Info.Duration()), screen.Caution
	case f.Caution != "":
		return "unsure " + screen.ClockText(f.Info.Duration()), screen.Caution
	}
	return screen.ClockText(f.Info.Duration()), screen.Normal
}

// drawWords says of the marked line what it is and what to listen for.
func (m *Screen) drawWords(c *screen.Canvas) {
	title := "listen for"
	src := m.Sources[m.list.Mark]
	if src.File != nil {
		title = "the file"
	}
	p := c.Paragraph(c.Heading(m.lay.words, title))
	if src.File == nil {
		p.Write(m.levelWords(src.Signal), screen.Strong)
		p.Write(src.Signal.Listen(), screen.Normal)
		return
	}
	f := src.File
	p.Write(show.Clean(f.Name), screen.Strong)
	p.Write(f.Problem, screen.Alarm)
	p.Write(f.Caution, screen.Caution)
	if f.Problem == "" {
		p.Write(formatWords(f.Info), screen.Normal)
	}
	p.Write("Used as: "+strings.Join(f.Uses, "; "), screen.Normal)
	if f.Problem == "" {
		p.Write("Listen on every loudspeaker: both sides there, nothing missing, nothing distorted, and the same music as rehearsed.", screen.Quiet)
	}
}

// levelWords says how loud a signal is set and what leaves the output.
func (m *Screen) levelWords(s desk.Signal) string {
	level := s.Level(m.snap.Level)
	out := [2]string{}
	for ch, g := range m.snap.Gain {
		if out[ch] = (level + g).String(); m.snap.Mute[ch] {
			out[ch] = "off"
		}
	}
	return fmt.Sprintf("level %s dBFS (keys %s and %s), at the output: left %s, right %s", level, m.keys.Name(actLevelDown), m.keys.Name(actLevelUp), out[0], out[1])
}

// formatWords says how a file is made.
func formatWords(i playback.Info) string {
	channels := "stereo"
	if i.Channels == 1 {
		channels = "mono, on both sides"
	}
	return fmt.Sprintf("%s, %d Hz, %s, %s", i.Format, i.Rate, channels, screen.ClockText(i.Duration()))
}

// drawKeys draws the labelled keys.
func (m *Screen) drawKeys(c *screen.Canvas) {
	var keys []screen.Hint
	for _, b := range m.keys.Bindings {
		if b.Label != "" {
			keys = append(keys, screen.Hint{Key: screen.KeyLabel(b.Keys[0]), Label: b.Label})
		}
	}
	c.KeyLine(m.lay.keys, keys)
}

// drawHelp lists the key table; the bar stays in sight.
func (m *Screen) drawHelp(c *screen.Canvas) {
	m.helpTop = c.KeyTable(m.keys.Bindings, nil, "sound check: keys", m.helpTop, c.H-2,
		"any key closes this; "+m.keys.Name(actStop)+" stops the sound")

}
