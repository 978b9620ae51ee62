package guide

import (
	"strconv"

	"drylane/show"
	"drylane/show/exchange"
	"drylane/tui/screen"
)

// A sheet is rows of cells under titles, cut to the columns that fit.
type sheet struct {
	titles []string
	rows   [][]string
	styles []screen.Style // of the rows
}

// widest bounds a column of a sheet.
const widest = 18

// draw draws the columns that fit into r, and says how many do not.
func (s *sheet) draw(c *screen.Canvas, r screen.Rectangle) {
	x := r.X
	for i, title := range s.titles {
		w := c.Width(title)
		for _, row := range s.rows {
			w = max(w, c.Width(row[i]))
		}
		w = min(w, widest)
		room := r.X + r.W - x
		if left := len(s.titles) - i; left > 1 && w > room-5 || room < 3 {
			more := "+" + strconv.Itoa(left)
			c.Text(x, r.Y, room, more, screen.Quiet)
			return
		}
		c.Text(x, r.Y, min(w, room), title, screen.Quiet)
		for k, row := range s.rows {
			c.Text(x, r.Y+1+k, min(w, room), row[i], s.styles[k])
		}
		x += w + 1
	}
}

// drawRows draws the first rows of the file on the left, and on the right of each
// what it would become.
func (m *Screen) drawRows(c *screen.Canvas, r screen.Rectangle) {
	if m.table == nil || r.H < 3 {
		return
	}
	half := r.W/2 - 1
	left, right := screen.Rect(r.X, r.Y+1, half, r.H-1), screen.Rect(r.X+half+2, r.Y+1, r.W-half-2, r.H-1)
	c.Text(left.X, r.Y, left.W, "rows of the file", screen.Strong)
	c.Text(right.X, r.Y, right.W, "as they would become", screen.Strong)
	m.top = min(m.top, max(0, len(m.table.Rows)-1))
	shown := m.table.Rows[m.top:min(len(m.table.Rows), m.top+left.H-1)]
	m.sourceOf(shown).draw(c, left)
	if m.res != nil {
		m.resultOf(shown).draw(c, right)
	}
}

// sourceOf is the sheet of rows of the file: from the column that the marked line is
// made from on where there are many, so that it is in sight.
func (m *Screen) sourceOf(shown []exchange.Row) *sheet {
	s := &sheet{}
	first := 0
	if set := m.set[m.column()]; len(set) > 0 && set[0] > 2 {
		first = set[0] - 2
	}
	for i := first; i < m.table.Width; i++ {
		s.titles = append(s.titles, strconv.Itoa(i+1)+" "+m.table.Title(i))
	}
	for _, r := range shown {
		row := make([]string, len(s.titles))
		for k := range row {
			if i := first + k; i < len(r.Fields) {
				row[k] = show.Clean(r.Fields[i])
			}
		}
		s.rows, s.styles = append(s.rows, row), append(s.styles, screen.Normal)
	}
	return s
}

// resultOf is the sheet of what rows of the file become: the columns in which
// anything stands. A row that is no cue says so.
func (m *Screen) resultOf(shown []exchange.Row) *sheet {
	byLine := map[int]show.Cue{}
	for _, cue := range m.res.Cues {
		byLine[cue.Line] = cue
	}
	var all [][]string
	filled := make([]bool, len(exchange.Listed))
	s := &sheet{}
	for _, r := range shown {
		cells, style := []string{"no cue"}, screen.Caution
		if cue, ok := byLine[r.Line]; ok {
			cells, style = m.src.Cells(cue), screen.Normal
		}
		for i, text := range cells {
			filled[i] = filled[i] || text != ""
		}
		all, s.styles = append(all, cells), append(s.styles, style)
	}
	s.rows = make([][]string, len(all))
	for i, name := range exchange.Listed {
		if !filled[i] {
			continue
		}
		if exchange.Column(i) == exchange.Caliber {
			name = "mm"
		}
		s.titles = append(s.titles, name)
		for k, cells := range all {
			text := ""
			if i < len(cells) {
				text = cells[i]
			}
			s.rows[k] = append(s.rows[k], text)
		}
	}
	return s
}
