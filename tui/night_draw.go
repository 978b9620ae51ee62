package tui

import (
	"fmt"
	"time"

	"drylane/playback/evening"
	"drylane/show"

	"github.com/rivo/uniseg"
)

// A nightLayout says where everything stands on the list of shows.
type nightLayout struct {
	tooSmall bool
	bar      rect
	list     rect // heading, column heads and lines
	rows     rect // the lines alone
	marked   rect // the marked show
	between  rect // what was found between the shows
	message  rect
	keys     rect
}

func (m *Night) arrange() { m.lay = arrangeNight(m.size.Width, m.size.Height, len(m.Shows)) }

// arrangeNight lays out a window for that many shows.
func arrangeNight(w, h, shows int) nightLayout {
	if w < minWidth || h < minHeight {
		return nightLayout{tooSmall: true}
	}
	var l nightLayout
	l.bar = rect{0, 0, w, 1}
	room := h - 3 // less bar, message and keys
	panel := 7
	if h >= 30 {
		panel = 12
	}
	list := min(shows+3, room-panel)
	l.list = rect{0, 1, w, list}
	l.rows = rect{1, 3, w - 3, list - 2}
	half := w * 2 / 5
	l.marked = rect{0, 1 + list, half, room - list}
	l.between = rect{half, 1 + list, w - half, room - list}
	l.message, l.keys = rect{0, h - 2, w, 1}, rect{0, h - 1, w, 1}
	return l
}

// View implements tea.Model.
func (m *Night) View() string {
	if o := m.open.Load(); o != nil {
		return o.View()
	}
	c := &m.canvas
	c.ascii = m.ASCII
	c.reset(m.size.Width, m.size.Height)
	switch {
	case m.size.Width == 0 || m.size.Height == 0:
	case m.lay.tooSmall:
		m.drawTooSmall(c)
	default:
		m.drawBar(c)
		m.drawList(c)
		m.drawMarked(c)
		m.drawBetween(c)
		m.drawMessage(c)
		m.drawKeys(c)
	}
	return c.render(m.Theme)
}

func (m *Night) drawBar(c *canvas) {
	ran := 0
	for _, r := range m.ran {
		if r.end == ranThrough {
			ran++
		}
	}
	c.fill(m.lay.bar, ' ', BarSafe)
	c.text(1, 0, 40, fmt.Sprintf("○ THE NIGHT  %d of %d ended", ran, len(m.Shows)), BarSafe)
	c.right(c.w, 0, "nothing is armed, no cue runs ", BarSafe)
}

// The widths of the list's columns, each with the blank behind it; the title
// and the soundtrack share what is left.
const (
	nightMark   = 2
	nightLength = 8
	nightCues   = 7
	nightState  = 16
	nightLock   = 11
)

// columns returns where the columns of the list begin: title, length, cues,
// soundtrack, state and lock.
func (m *Night) columns() [7]int {
	r := m.lay.rows
	rest := r.w - nightMark - nightLength - nightCues - nightState - nightLock
	title := max(10, rest*3/5)
	x := [7]int{r.x + nightMark}
	for i, w := range []int{title, nightLength, nightCues, rest - title, nightState, nightLock} {
		x[i+1] = x[i] + w
	}
	return x
}

// drawList lists the shows in the order of the night.
func (m *Night) drawList(c *canvas) {
	var length time.Duration
	for _, s := range m.Shows {
		length += s.Length
	}
	heading(c, m.lay.list, fmt.Sprintf("%d shows, %s of music", len(m.Shows), clockText(length)))
	x, r := m.columns(), m.lay.rows
	heads := rect{r.x, r.y - 1, r.w, 1}
	m.cells(c, heads, x, [6]string{"show", "length", "cues", "soundtrack", "state", "lock"}, [6]Style{Quiet, Quiet, Quiet, Quiet, Quiet, Quiet})
	m.first = max(0, min(m.first, m.mark))
	m.first = max(m.first, m.mark-r.h+1)
	for y := 0; y < r.h && m.first+y < len(m.Shows); y++ {
		m.drawShow(c, rect{r.x, r.y + y, r.w, 1}, x, m.first+y)
	}
	if left := len(m.Shows) - m.first - r.h; left > 0 {
		c.right(r.x+r.w, m.lay.list.y, fmt.Sprintf(" %d more ", left), Quiet)
	}
}

func (m *Night) drawShow(c *canvas, r rect, x [7]int, i int) {
	s := m.Shows[i]
	state, stateStyle := m.ran[i].words()
	texts := [6]string{s.Title, clockText(s.Length), fmt.Sprint(s.Cues), s.Soundtrack, state, string(s.Lock)}
	styles := [6]Style{Strong, Normal, Normal, Normal, stateStyle, lockStyle[s.Lock]}
	if s.Problem != "" {
		if texts[4], styles[4] = "does not open", Alarm; s.Soundtrack == "" {
			texts = [6]string{s.Title, "-", "-", "-", texts[4], "-"}
		}
	}
	if i == m.mark {
		c.fill(r, ' ', Selected)
		c.set(r.x, r.y, '▸', Selected)
		styles = [6]Style{Selected, Selected, Selected, Selected, Selected, Selected}
	}
	m.cells(c, r, x, texts, styles)
}

// cells puts texts into the columns; numbers end with their column.
func (m *Night) cells(c *canvas, r rect, x [7]int, texts [6]string, styles [6]Style) {
	for k, text := range texts {
		room := min(x[k+1], r.x+r.w) - x[k] - 1
		at := x[k]
		if k == 1 || k == 2 {
			at = max(at, x[k+1]-2-uniseg.StringWidth(text))
		}
		c.text(at, r.y, room, text, styles[k])
	}
}

var lockStyle = map[evening.Lock]Style{evening.NotLocked: Quiet, evening.AsLocked: Good, evening.Changed: Caution, evening.Unreadable: Alarm}

// A paragraph writes wrapped lines into a rectangle until it is full.
type paragraph struct {
	c *canvas
	r rect
}

func (p *paragraph) write(text string, style Style) {
	for _, l := range wrap(text, min(p.r.w, 76)) { // longer lines read badly
		if p.r.h > 0 && l != "" {
			p.c.text(p.r.x, p.r.y, p.r.w, l, style)
			p.r.y++
			p.r.h--
		}
	}
}

// drawMarked says more of the marked show.
func (m *Night) drawMarked(c *canvas) {
	p := &paragraph{c, heading(c, m.lay.marked, fmt.Sprintf("show %d of %d", m.mark+1, len(m.Shows)))}
	s := m.Shows[m.mark]
	p.write(s.Title, Strong)
	p.write(s.Folder, Quiet)
	p.write(s.Problem, Alarm)
	if s.Problem == "" {
		p.write(s.Soundtrack, Normal)
		p.write(s.LockWords, lockStyle[s.Lock])
	}
}

// drawBetween tells what the shows take from each other.
func (m *Night) drawBetween(c *canvas) {
	title := "between the shows"
	if len(m.Between) > 0 {
		title += ": " + m.Between.Summary()
	}
	p := &paragraph{c, heading(c, m.lay.between, title)}
	if len(m.Between) == 0 {
		p.write("No two of them need the same pin, or other files on the same player.", Quiet)
	}
	for _, f := range m.Between {
		style := Caution
		if f.Severity == show.SeverityStop {
			style = Alarm
		}
		p.write(f.String(), style)
	}
}

func (m *Night) drawMessage(c *canvas) {
	r := m.lay.message
	text, style := "enter opens the marked show on a console of its own. Nothing is fired.", Quiet
	switch {
	case m.busy != "":
		text, style = m.busy, Dialog
	case m.trouble != "":
		text, style = m.trouble, Alarm
	}
	c.text(r.x+1, r.y, r.w-2, text, style)
}

func (m *Night) drawKeys(c *canvas) {
	x, y := m.lay.keys.x+1, m.lay.keys.y
	for _, k := range [][2]string{{"enter", "OPEN"}, {"↑ ↓", "mark"}, {"m", "theme"}, {"q", "quit"}} {
		x = c.text(x, y, 12, k[0], KeyName)
		x = c.text(x+1, y, 12, k[1], KeyText) + 2
	}
}

func (m *Night) drawTooSmall(c *canvas) {
	state, _ := m.ran[m.mark].words()
	for y, line := range []string{
		fmt.Sprintf("SHOW %d of %d  %s", m.mark+1, len(m.Shows), state),
		m.Shows[m.mark].Title,
		"",
		"This window is too small:",
		fmt.Sprintf("%d x %d, and the list", m.size.Width, m.size.Height),
		fmt.Sprintf("needs %d x %d.", minWidth, minHeight),
		"Its keys go on.",
	} {
		c.text(0, y, c.w, line, Normal)
	}
}
