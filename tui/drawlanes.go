package tui

import (
	"fmt"
	"sort"
	"time"

	"drylane/show/timebase"
)

// drawLanes draws the music, the lanes under it and the time axis.
func (m *Console) drawLanes(c *canvas) {
	t := &m.snap.Transport
	w := m.window()
	now := m.heard()
	m.placeLanes()
	drawWave(c, m.lay.wave, w, m.Wave, now, m.Plan.Length)
	m.drawAccents(c, w)
	m.drawWaveLabel(c)
	m.raster.reset(m.lay.tracks.w, m.lay.tracks.h, m.tall())
	m.raster.draw(t, now, w, m.lanes(), m.rows, m.match)
	for l, row := range m.rows {
		if row >= 0 {
			m.drawLane(c, l, int(row))
		}
	}
	m.drawNow(c, w, now)
	m.drawAxis(c, w)
}

func (m *Console) drawWaveLabel(c *canvas) {
	r := m.lay.wave
	c.text(1, r.y, r.x-2, "music", Quiet)
	if r.h >= 4 {
		c.text(r.x-3, r.y, 1, "L", Faint)
		c.text(r.x-3, r.y+r.h-1, 1, "R", Faint)
	}
	span := "whole show"
	if m.zoom < len(zooms) {
		span = fmt.Sprintf("%d s wide", int(zooms[m.zoom].Seconds()))
	}
	c.text(1, r.y+1, r.x-2, span, Faint)
}

// drawAccents marks the music's accents along the top of the waveform.
func (m *Console) drawAccents(c *canvas, w window) {
	r := m.lay.wave
	i := sort.Search(len(m.marks.Accents), func(i int) bool { return m.marks.Accents[i].At >= w.from() })
	for ; i < len(m.marks.Accents) && m.marks.Accents[i].At < w.to(); i++ {
		x := r.x + w.col(m.marks.Accents[i].At)/2
		switch {
		case m.marks.Accents[i].Strong:
			c.set(x, r.y, '▾', BeatMark)
		case c.at(x, r.y).r != '▾':
			c.set(x, r.y, '·', BeatMark)
		}
	}
}

func (m *Console) drawLane(c *canvas, l, row int) {
	set := m.lanes()
	r, y := m.lay.tracks, m.lay.tracks.y+row
	down := set.group[l] >= 0 && m.snap.Transport.GroupDown(set.group[l])
	style := Normal
	if down {
		style = DownMark
	}
	for k := range m.tall() {
		for x := r.x + k%2; x < r.x+r.w && row+k < r.h; x += 2 {
			c.set(x, y+k, '·', Faint)
		}
		if row+k < r.h {
			m.raster.put(c, r.x, y+k, row+k)
		}
	}
	label := m.lay.labels
	mark := ' '
	if l == m.lane {
		mark = '▸'
		style = Selected
		c.fill(rect{label.x - 1, y, label.w + 1, 1}, ' ', Selected)
	}
	c.set(label.x-1, y, mark, style)
	name := set.names[l]
	if down {
		c.text(label.x, y, label.w-5, name, style)
		c.right(label.x+label.w, y, "DOWN", DownMark)
		return
	}
	c.text(label.x, y, label.w, name, style)
}

// drawNow draws the now-line, and marks the cue under the cursor.
func (m *Console) drawNow(c *canvas, w window, now timebase.Frame) {
	col := w.col(now)
	if col >= 0 && col < w.halfs {
		x := m.lay.tracks.x + col/2
		for y := m.lay.wave.y; y < m.lay.axis.y; y++ {
			switch c.at(x, y).r {
			case '▌', '▐', '█', '▸', '▹', '×', '2', '3', '4', '5', '6', '7', '8', '9', '+': // what is at the moment now stays
			default:
				c.set(x, y, '┃', NowLine)
			}
		}
		c.set(x, m.lay.axis.y, '▴', NowLine)
	}
	if m.cursor < 0 {
		return
	}
	col = w.col(m.snap.Transport.EffectAt(m.cursor))
	row := m.rows[m.lanes().of[m.cursor]]
	if row >= 0 {
		row += int16(int(m.lanes().turn[m.cursor]) % m.tall())
	}
	if row >= 0 && int(row) < m.lay.tracks.h && col >= 0 && col < w.halfs {
		c.at(m.lay.tracks.x+col/2, m.lay.tracks.y+int(row)).style = Selected
	}
}

// axisSteps are the distances between labels on the time axis, in seconds.
var axisSteps = []int64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800}

// drawAxis labels the time axis with moments of the music.
func (m *Console) drawAxis(c *canvas, w window) {
	r := m.lay.axis
	rate := int64(m.Plan.Rate)
	const apart = 9 // columns between labels, at least
	step := axisSteps[len(axisSteps)-1]
	for _, s := range axisSteps {
		if s*rate/w.step >= 2*apart {
			step = s
			break
		}
	}
	from := int64(w.from())/rate/step*step - step
	for s := max(0, from); ; s += step {
		col := w.col(timebase.Frame(s * rate))
		if col >= w.halfs || s*rate > int64(m.Plan.Length+m.Plan.MaxLife) {
			break
		}
		if col < 0 {
			continue
		}
		text := "╎" + timebase.Clock(time.Duration(s)*time.Second)
		if x := r.x + col/2; x+6 < r.x+r.w && c.at(x, r.y).r == ' ' {
			c.text(x, r.y, 8, text, Quiet)
		}
	}
	note := ""
	switch {
	case !m.follow && m.zoom < len(zooms):
		note = fmt.Sprintf("%s follows", m.Keys.Name(ActFollow))
	case m.folded() > 0:
		note = fmt.Sprintf("%d folded", m.folded())
	}
	c.text(1, r.y, r.x-2, note, Caution)
}
