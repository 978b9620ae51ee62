package console

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// drawLanes draws the music, the lanes under it and the time axis.
func (m *Screen) drawLanes(c *screen.Canvas) {
	t := &m.snap.Transport
	w := m.window()
	now := m.heard()
	m.placeLanes()
	drawWave(c, m.lay.wave, w, m.Wave, now, m.Plan.Length)
	m.drawAccents(c, w)
	m.drawWaveLabel(c)
	m.raster.reset(m.lay.tracks.W, m.lay.tracks.H, m.tall())
	m.raster.draw(t, now, w, m.lanes(), m.rows, m.match)
	for l, row := range m.rows {
		if row >= 0 {
			m.drawLane(c, l, int(row))
		}
	}
	m.drawNow(c, w, now)
	m.drawLate(c, w, now)
	m.drawAxis(c, w)
}

func (m *Screen) drawWaveLabel(c *screen.Canvas) {
	r := m.lay.wave
	if r.H > 1 {
		c.Text(1, r.Y, r.X-2, "music", screen.Quiet)
	}
	if r.H >= 4 {
		c.Text(r.X-3, r.Y, 1, "L", screen.Quiet)
		c.Text(r.X-3, r.Y+r.H-1, 1, "R", screen.Quiet)
	}
	span := "whole show"
	if m.zoom < len(zooms) {
		span = fmt.Sprintf("%d s wide", int(zooms[m.zoom].Seconds()))
	}
	c.Text(1, r.Y+min(1, r.H-1), r.X-2, span, screen.Quiet)
}

// drawAccents marks the music's accents along the top of the waveform.
func (m *Screen) drawAccents(c *screen.Canvas, w window) {
	r := m.lay.wave
	i := sort.Search(len(m.marks.Accents), func(i int) bool { return m.marks.Accents[i].At >= w.from() })
	for ; i < len(m.marks.Accents) && m.marks.Accents[i].At < w.to(); i++ {
		x := r.X + w.col(m.marks.Accents[i].At)/2
		switch {
		case m.marks.Accents[i].Strong:
			c.Set(x, r.Y, '▾', screen.BeatMark)
		case c.At(x, r.Y).Rune != '▾':
			c.Set(x, r.Y, '·', screen.BeatMark)
		}
	}
}

func (m *Screen) drawLane(c *screen.Canvas, l, row int) {
	set := m.lanes()
	r, y := m.lay.tracks, m.lay.tracks.Y+row
	down := set.group[l] >= 0 && m.snap.Transport.GroupDown(set.group[l])
	style := screen.Normal
	if down {
		style = screen.DownMark
	}
	for k := range m.tall() {
		for x := r.X + k%2; x < r.X+r.W && row+k < r.H; x += 2 {
			c.Set(x, y+k, '·', screen.Faint)
		}
		if row+k < r.H {
			m.raster.put(c, r.X, y+k, row+k)
		}
	}
	label := m.lay.labels
	mark := ' '
	if l == m.lane {
		mark = '▸'
		style = screen.Selected
		c.Fill(screen.Rect(label.X-1, y, label.W+1, 1), ' ', screen.Selected)
	}
	c.Set(label.X-1, y, mark, style)
	name := set.names[l]
	if down {
		c.Text(label.X, y, label.W-5, name, style)
		c.Right(label.X+label.W, y, "DOWN", screen.DownMark)
		return
	}
	c.Text(label.X, y, label.W, name, style)
}

// drawNow draws the now-line, and marks the cue under the cursor.
func (m *Screen) drawNow(c *screen.Canvas, w window, now timebase.Frame) {
	col := w.col(now)
	if col >= 0 && col < w.halfs {
		x := m.lay.tracks.X + col/2
		for y := m.lay.wave.Y; y < m.lay.axis.Y; y++ {
			switch c.At(x, y).Rune {
			case '▌', '▐', '█', '▸', '▹', '×', '2', '3', '4', '5', '6', '7', '8', '9', '+': // what is at the moment now stays
			default:
				c.Set(x, y, '┃', screen.NowLine)
			}
		}
		c.Set(x, m.lay.axis.Y, '▴', screen.NowLine)
	}
	if m.cursor < 0 {
		return
	}
	col = w.col(m.snap.Transport.EffectAt(m.cursor))
	row := m.rows[m.lanes().of[m.cursor]]
	if row >= 0 {
		row += int16(int(m.lanes().turn[m.cursor]) % m.tall())
	}
	if row >= 0 && int(row) < m.lay.tracks.H && col >= 0 && col < w.halfs {
		c.At(m.lay.tracks.X+col/2, m.lay.tracks.Y+int(row)).Style = screen.Selected
	}
}

// lateFor is how long the mark of what went off in a hold stays.
const lateFor = 4 * time.Second

// drawLate marks at the now-line, in its lane, what has just gone off while the
// music stood still. Nothing else says so: it is for the shooter to see and hear.
func (m *Screen) drawLate(c *screen.Canvas, w window, now timebase.Frame) {
	col := w.col(now)
	if col < 0 || col >= w.halfs {
		return
	}
	x := m.lay.tracks.X + col/2
	for _, l := range m.snap.Late {
		row := m.rows[m.lanes().of[l.Cue]]
		if row < 0 || int(row) >= m.lay.tracks.H || m.now.Sub(l.At) >= lateFor {
			continue
		}
		for at := max(m.lay.tracks.X, x-1); at <= min(x+1, m.lay.tracks.X+m.lay.tracks.W-1); at++ {
			c.Set(at, m.lay.tracks.Y+int(row), '✶', screen.Alarm)
		}
	}
}

// axisSteps are the distances between labels on the time axis, in seconds.
var axisSteps = []int64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800}

// drawAxis labels the time axis with moments of the music.
func (m *Screen) drawAxis(c *screen.Canvas, w window) {
	r := m.lay.axis
	c.Text(1, r.Y, c.W-2, m.axisNote(), screen.Caution) // where it stands no moment does
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
		if x := r.X + col/2; x+6 < r.X+r.W && c.At(x, r.Y).Rune == ' ' {
			c.Text(x, r.Y, 8, text, screen.Quiet)
		}
	}
}

// axisNote says what of the lanes and of the music is not in sight.
func (m *Screen) axisNote() string {
	var parts []string
	if n := m.unseen(); n > 0 {
		parts = append(parts, fmt.Sprintf("+%s: %s, %s or arrows", words.Count(n, "lane"), m.Keys.Name(actGroup), m.Keys.Name(actFold)))
	}
	if n := m.folded(); n > 0 {
		parts = append(parts, fmt.Sprintf("%d folded", n))
	}
	if !m.follow && m.zoom < len(zooms) {
		parts = append(parts, fmt.Sprintf("%s follows", m.Keys.Name(actFollow)))
	}
	return strings.Join(parts, "; ")
}

// unseen is how many lanes there is no room for.
func (m *Screen) unseen() (n int) {
	for l, row := range m.rows {
		if row < 0 && !m.folds[l] {
			n++
		}
	}
	return n
}
