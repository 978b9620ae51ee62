package soundcheck

import (
	"fmt"
	"math"

	"drylane/playback/desk"
	"drylane/playback/loudness"
	"drylane/tui/screen"
)

// lufs is a loudness in a fixed width; what no ear hears is a dash.
func lufs(l loudness.Level) string {
	if l < -99 {
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
func (m *Screen) drawMeters(c *screen.Canvas) {
	r, s := m.lay.meters, m.snap
	in := c.Heading(r, "level at the output, dBFS peak")
	bar := screen.Rect(in.X+3, in.Y, in.W-3-meterRoom, m.lay.tall)
	for ch, side := range []string{"L", "R"} {
		c.Text(in.X, bar.Y, 2, side, screen.Strong)
		drawLevel(c, bar, s.Peak[ch], s.Held[ch])
		x := c.Text(bar.X+bar.W+1, bar.Y, 18, fmt.Sprintf("%s  max %s", dbfs(s.Held[ch]), dbfs(s.Max[ch])), screen.Normal) + 2
		text, style := gainText(s.Gain[ch], s.Mute[ch])
		x = c.Text(x, bar.Y, 14, text, style)
		keys := [][2]screen.Act{{actLeftUp, actLeftDown}, {actRightUp, actRightDown}}[ch]
		c.Text(max(x+1, bar.X+bar.W+34), bar.Y, 4, m.keys.Name(keys[0])+" "+m.keys.Name(keys[1]), screen.KeyName)
		bar.Y += m.lay.tall
	}
	drawScale(c, bar.X, bar.Y, bar.W)
}

// drawScale writes levels under a meter, as many as there is room for.
func drawScale(c *screen.Canvas, x, y, w int) {
	free := x + w
	for _, at := range []int{0, -6, -12, -18, -24, -36, -48, -60} {
		text := fmt.Sprint(at)
		from := x + w*(at-meterBottom)/-meterBottom
		if from = min(from, x+w-len(text)); from+len(text) <= free {
			c.Text(from, y, len(text), text, screen.Quiet)
			free = from - 1
		}
	}
}

// gainText says a side's gain in words.
func gainText(g desk.Half, mute bool) (string, screen.Style) {
	switch {
	case mute:
		return fmt.Sprintf("OFF (%s dB)", g), screen.Caution
	case g > 0:
		return fmt.Sprintf("gain +%s dB", g), screen.Alarm
	}
	return fmt.Sprintf("gain %s dB", g), screen.Strong
}

// drawLevel draws a peak from meterBottom to 0 dBFS, and a mark at the peak
// held.
func drawLevel(c *screen.Canvas, r screen.Rectangle, peak, held float64) {
	column := func(v float64) int {
		return int(float64(r.W)*(20*math.Log10(max(v, 1e-9))-meterBottom)/-meterBottom + 0.5)
	}
	lit, mark := column(peak), column(held)-1
	for k := range r.W {
		style, ch := screen.MeterLow, '▮'
		switch hot := k >= r.W*(-meterBottom-3)/-meterBottom; { // the last 3 dB
		case k == min(mark, r.W-1):
			ch, style = '┃', screen.Strong
			if hot {
				style = screen.MeterHot
			}
		case k >= lit:
			ch, style = '▯', screen.Faint
		case hot:
			style = screen.MeterHot
		}
		c.Fill(screen.Rect(r.X+k, r.Y, 1, r.H), ch, style)
	}
}
