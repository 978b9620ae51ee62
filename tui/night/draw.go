package night

import (
	"fmt"
	"time"

	"drylane/playback/evening"
	"drylane/show"
	between "drylane/show/night"
	"drylane/tui/screen"
)

// A layout says where everything stands on the list of shows.
type layout struct {
	bar     screen.Rectangle
	list    screen.Rectangle // heading, column heads and lines
	rows    screen.Rectangle // the lines alone
	marked  screen.Rectangle // the marked show
	between screen.Rectangle // what was found between the shows
	message screen.Rectangle
	keys    screen.Rectangle
}

func (m *Screen) arrange() { m.lay = arrange(m.size.Width, m.size.Height, len(m.Shows)) }

// arrange lays out a window for that many shows.
func arrange(w, h, shows int) layout {
	var l layout
	l.bar = screen.Rect(0, 0, w, 1)
	room := h - 3 // less bar, message and keys
	panel := 7
	if h >= 30 {
		panel = 12
	}
	list := min(shows+3, room-panel)
	l.list = screen.Rect(0, 1, w, list)
	l.rows = screen.Rect(1, 3, w-3, list-2)
	half := w * 2 / 5
	l.marked = screen.Rect(0, 1+list, half, room-list)
	l.between = screen.Rect(half, 1+list, w-half, room-list)
	l.message, l.keys = screen.Rect(0, h-2, w, 1), screen.Rect(0, h-1, w, 1)
	return l
}

// View implements tea.Model.
func (m *Screen) View() string {
	if o := m.open.Load(); o != nil {
		return o.View()
	}
	return m.canvas.Picture(m.Look, m.draw, m.drawTooSmall)
}

func (m *Screen) draw(c *screen.Canvas) {
	m.drawBar(c)
	m.drawList(c)
	m.drawMarked(c)
	m.drawBetween(c)
	m.drawMessage(c)
	m.drawKeys(c)
}

func (m *Screen) drawBar(c *screen.Canvas) {
	ran := 0
	for _, r := range m.ran {
		if r.end == ranThrough {
			ran++
		}
	}
	c.Fill(m.lay.bar, ' ', screen.BarSafe)
	c.Text(1, 0, 40, fmt.Sprintf("○ THE NIGHT  %d of %d ended", ran, len(m.Shows)), screen.BarSafe)
	c.Right(c.W, 0, "nothing is armed, no cue runs ", screen.BarSafe)
}

// The widths of the list's columns, each with the blank behind it; the title
// and the soundtrack share what is left.
const (
	markWidth   = 2
	lengthWidth = 8
	cuesWidth   = 7
	stateWidth  = 16
	lockWidth   = 11
)

// columns returns where the columns of the list begin: title, length, cues,
// soundtrack, state and lock.
func (m *Screen) columns() [7]int {
	r := m.lay.rows
	rest := r.W - markWidth - lengthWidth - cuesWidth - stateWidth - lockWidth
	title := max(10, rest*3/5)
	x := [7]int{r.X + markWidth}
	for i, w := range []int{title, lengthWidth, cuesWidth, rest - title, stateWidth, lockWidth} {
		x[i+1] = x[i] + w
	}
	return x
}

// drawList lists the shows in the order of the night.
func (m *Screen) drawList(c *screen.Canvas) {
	var length time.Duration
	for _, s := range m.Shows {
		length += s.Length
	}
	c.Heading(m.lay.list, fmt.Sprintf("%d shows, %s of music", len(m.Shows), screen.ClockText(length)))
	x, r := m.columns(), m.lay.rows
	heads := screen.Rect(r.X, r.Y-1, r.W, 1)
	m.cells(c, heads, x, [6]string{"show", "length", "cues", "soundtrack", "state", "lock"}, [6]screen.Style{screen.Quiet, screen.Quiet, screen.Quiet, screen.Quiet, screen.Quiet, screen.Quiet})
	first, last := m.list.Sight(r.H)
	for i := first; i < last; i++ {
		m.drawShow(c, screen.Rect(r.X, r.Y+i-first, r.W, 1), x, i)
	}
	m.list.More(c, r.X+r.W, m.lay.list.Y, last)
}

func (m *Screen) drawShow(c *screen.Canvas, r screen.Rectangle, x [7]int, i int) {
	s := m.Shows[i]
	lock, _ := s.LockNow()
	state, stateStyle := m.ran[i].words()
	texts := [6]string{s.Title, screen.ClockText(s.Length), fmt.Sprint(s.Cues), s.Soundtrack, state, string(lock)}
	styles := [6]screen.Style{screen.Strong, screen.Normal, screen.Normal, screen.Normal, stateStyle, lockStyle[lock]}
	if s.Problem != "" {
		if texts[4], styles[4] = "does not open", screen.Alarm; s.Soundtrack == "" {
			texts = [6]string{s.Title, "-", "-", "-", texts[4], "-"}
		}
	}
	if i == m.list.Mark {
		c.Fill(r, ' ', screen.Selected)
		c.Set(r.X, r.Y, '▸', screen.Selected)
		styles = [6]screen.Style{screen.Selected, screen.Selected, screen.Selected, screen.Selected, screen.Selected, screen.Selected}
	}
	m.cells(c, r, x, texts, styles)
}

// cells puts texts into the columns; numbers end with their column.
func (m *Screen) cells(c *screen.Canvas, r screen.Rectangle, x [7]int, texts [6]string, styles [6]screen.Style) {
	for k, text := range texts {
		room := min(x[k+1], r.X+r.W) - x[k] - 1
		at := x[k]
		if k == 1 || k == 2 {
			at = max(at, x[k+1]-2-m.Width(text))
		}
		c.Text(at, r.Y, room, text, styles[k])
	}
}

var lockStyle = map[evening.Lock]screen.Style{evening.NotLocked: screen.Quiet, evening.AsLocked: screen.Good, evening.Changed: screen.Caution, evening.Edited: screen.Caution, evening.NotRead: screen.Quiet, evening.Unreadable: screen.Alarm}

// drawMarked says more of the marked show.
func (m *Screen) drawMarked(c *screen.Canvas) {
	p := c.Paragraph(c.Heading(m.lay.marked, fmt.Sprintf("show %d of %d", m.list.Mark+1, len(m.Shows))))
	s := m.Shows[m.list.Mark]
	p.Write(s.Title, screen.Strong)
	p.Write(s.Folder, screen.Quiet)
	p.Write(s.Problem, screen.Alarm)
	if s.Problem == "" {
		p.Write(s.Soundtrack, screen.Normal)
		lock, words := s.LockNow()
		p.Write(words, lockStyle[lock])
	}
}

// drawBetween tells what the shows take from each other.
func (m *Screen) drawBetween(c *screen.Canvas) {
	title := "between the shows"
	if len(m.Between) > 0 {
		title += ": " + between.Summary(m.Between)
	}
	p := c.Paragraph(c.Heading(m.lay.between, title))
	if len(m.Between) == 0 {
		p.Write("No two of them need the same pin, or other files on the same player.", screen.Quiet)
	}
	for _, f := range m.Between {
		style := screen.Caution
		if f.Severity == show.SeverityStop {
			style = screen.Alarm
		}
		p.Write(f.String(), style)
	}
}

func (m *Screen) drawMessage(c *screen.Canvas) {
	r := m.lay.message
	text, style := "enter opens the marked show on a console of its own. Nothing is fired.", screen.Quiet
	switch {
	case m.busy != "":
		text, style = m.busy, screen.Dialog
	case m.trouble != "":
		text, style = m.trouble, screen.Alarm
	}
	c.Text(r.X+1, r.Y, r.W-2, text, style)
}

func (m *Screen) drawKeys(c *screen.Canvas) {
	c.KeyLine(m.lay.keys, []screen.Hint{{Key: "enter", Label: "OPEN"}, {Key: "↑ ↓", Label: "mark"}, {Key: "m", Label: "theme"}, {Key: "q", Label: "quit"}})
}

func (m *Screen) drawTooSmall(c *screen.Canvas) {
	state, _ := m.ran[m.list.Mark].words()
	c.TooSmall("list", "Its keys go on.", fmt.Sprintf("SHOW %d of %d  %s", m.list.Mark+1, len(m.Shows), state), m.Shows[m.list.Mark].Title)
}
