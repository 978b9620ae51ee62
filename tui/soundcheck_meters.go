package tui

import (
	"fmt"
	"math"

	"drylane/playback/desk"
	"drylane/playback/loudness"
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
