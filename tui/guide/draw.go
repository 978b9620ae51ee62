package guide

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"drylane/show"
	"drylane/show/exchange"
	"drylane/show/words"
	"drylane/tui/screen"
)

// What the guide needs to be drawn whole, and from which width on our columns, the
// file's and the settings stand beside each other.
const minWidth, minHeight, wide = 60, 20, 110

// View implements tea.Model.
func (m *Screen) View() string {
	c := m.canvas.Begin(m.Look)
	if c.W < minWidth || c.H < minHeight {
		c.Text(0, 0, c.W, fmt.Sprintf("a terminal of %d x %d is wanted; q leaves", minWidth, minHeight), screen.Normal)
		return c.Render(m.Theme)
	}
	bar := screen.Rect(0, 0, c.W, 1)
	c.Fill(bar, ' ', screen.BarSafe)
	c.Text(1, 0, c.W-2, "import "+m.src.Name, screen.BarSafe)
	if m.table != nil {
		c.Text(0, 1, c.W, m.src.Read(m.table), screen.Quiet)
	}
	lines := max(int(exchange.ColumnCount), len(settingKeys))
	m.drawTop(c, screen.Rect(0, 2, c.W, lines+1))
	m.drawRows(c, screen.Rect(0, 3+lines, c.W, c.H-6-lines))
	m.drawStatus(c, c.H-3)
	m.drawKeys(c, screen.Rect(0, c.H-1, c.W, 1))
	return c.Render(m.Theme)
}

// drawTop draws our columns, and beside them the file's or the settings; both where
// there is room.
func (m *Screen) drawTop(c *screen.Canvas, r screen.Rectangle) {
	parts := 2
	if r.W >= wide {
		parts = 3
	}
	w := r.W/parts - 1
	part := func(i int) screen.Rectangle { return screen.Rect(r.X+i*(w+1)+i, r.Y, min(w, r.W-i*(w+2)), r.H) }
	m.drawColumns(c, part(0))
	if parts == 3 || m.side == columns {
		m.drawFile(c, part(1))
	}
	if parts == 3 || m.side == settings {
		m.drawSettings(c, part(parts-1))
	}
}

func (m *Screen) drawKeys(c *screen.Canvas, r screen.Rectangle) {
	line, enter, leave := screen.Hint{Key: "↑ ↓", Label: "line"}, screen.Hint{Key: "enter", Label: "import"}, screen.Hint{Key: "q", Label: "leave"}
	keys := []screen.Hint{line, {Key: "1 2 3…", Label: "column"}, enter, leave, {Key: "tab", Label: "settings"}, {Key: "f", Label: "fill"},
		{Key: "0", Label: "none"}, {Key: "← →", Label: "change"}, {Key: "pgdown", Label: "rows"}}
	if m.side == settings {
		keys = []screen.Hint{line, {Key: "← →", Label: "change"}, enter, leave, {Key: "tab", Label: "columns"}, {Key: "pgdown", Label: "rows"}}
	}
	switch m.typing {
	case aFill:
		keys = []screen.Hint{{Key: "enter", Label: "fill every row without a value"}, {Key: "esc", Label: "go back"}}
	case aName:
		keys = []screen.Hint{{Key: "enter", Label: "keep the settings and import"}, {Key: "esc", Label: "go back"}}
	}
	c.KeyLine(r, keys)
}

// drawColumns draws our columns with what they are made from.
func (m *Screen) drawColumns(c *screen.Canvas, r screen.Rectangle) {
	c.Text(r.X, r.Y, r.W, "our column   made from", screen.Strong)
	for i := range exchange.ColumnCount {
		m.drawLine(c, screen.Rect(r.X, r.Y+1+int(i), r.W, 1), columns, int(i), fmt.Sprintf("%-11s %s", i, m.from(i)))
	}
}

// drawFile draws the file's columns by their numbers, each with the first thing that
// stands in it and the column of ours that is made from it.
func (m *Screen) drawFile(c *screen.Canvas, r screen.Rectangle) {
	if m.table == nil {
		return
	}
	c.Text(r.X, r.Y, r.W, "the file's columns", screen.Strong)
	room, first := r.H-1, 0
	if n := m.table.Width; n > room {
		if set := m.set[m.column()]; len(set) > 0 {
			first = min(max(0, set[0]-room/2), n-room)
		}
		c.Right(r.X+r.W, r.Y, fmt.Sprintf("%d of %d", room, n), screen.Quiet)
	}
	for k := range min(room, m.table.Width) {
		i, style := first+k, screen.Normal
		text := fmt.Sprintf("%2d %s", i+1, m.table.Title(i))
		if ours := m.oursOf(i); ours != "" {
			style = screen.Quiet
			text += " " + m.Becomes() + " " + ours
		}
		x := c.Text(r.X, r.Y+1+k, r.W, text, style)
		if s := m.firstOf(i); s != "" && x+2 < r.X+r.W {
			c.Text(x+2, r.Y+1+k, r.X+r.W-x-2, s, screen.Quiet)
		}
	}
}

// oursOf names the columns of ours that are made from column i of the file.
func (m *Screen) oursOf(i int) string {
	var names []string
	for column, set := range m.set {
		if slices.Contains(set, i) {
			names = append(names, exchange.Column(column).String())
		}
	}
	return strings.Join(names, ", ")
}

// firstOf is the first thing that stands in column i of the file.
func (m *Screen) firstOf(i int) string {
	for _, r := range m.table.Head(rows).Rows {
		if i < len(r.Fields) && strings.TrimSpace(r.Fields[i]) != "" {
			return show.Clean(r.Fields[i])
		}
	}
	return ""
}

func (m *Screen) drawSettings(c *screen.Canvas, r screen.Rectangle) {
	c.Text(r.X, r.Y, r.W, "setting", screen.Strong)
	for i, key := range settingKeys {
		m.drawLine(c, screen.Rect(r.X, r.Y+1+i, r.W, 1), settings, i, fmt.Sprintf("%-13s %s", key, m.setting(key)))
	}
}

// drawLine draws a line of a side, and marks it if it is the one.
func (m *Screen) drawLine(c *screen.Canvas, r screen.Rectangle, of side, line int, text string) {
	style := screen.Normal
	if m.side == of && m.line[of] == line {
		style = screen.Selected
		c.Fill(r, ' ', style)
		c.Set(r.X, r.Y, '▸', style)
	}
	c.Text(r.X+1, r.Y, r.W-1, text, style)
}

// from says what a column of ours is made from.
func (m *Screen) from(column exchange.Column) string {
	if m.typing == aFill && column == m.column() {
		return "always: " + m.fill.Text + "_"
	}
	var parts []string
	for _, i := range m.set[column] {
		parts = append(parts, strconv.Itoa(i+1)+" "+m.table.Title(i))
	}
	if f := m.p.Fill[column]; f != "" {
		parts = append(parts, "else: "+f)
	}
	if len(parts) > 0 {
		if m.guessed[column] {
			return "? " + strings.Join(parts, ", ")
		}
		return strings.Join(parts, ", ")
	}
	switch column {
	case exchange.EffectAt:
		return "- wanted"
	case exchange.Position:
		return "- wanted, or f to fill in a name"
	case exchange.Cue:
		return "- (numbered)"
	}
	return "-"
}

func (m *Screen) setting(key string) string {
	if v := *m.p.Setting(key); v != "" {
		return v
	}
	if key == "rate" {
		return "-"
	}
	if s := exchange.Settings(key); s != nil {
		return s[0]
	}
	return exchange.Auto
}

// drawStatus draws two lines: what would come of the import, and the first
// thing that is wrong with it.
func (m *Screen) drawStatus(c *screen.Canvas, y int) {
	first, second := m.status()
	c.Text(0, y, c.W, first, screen.Strong)
	c.Text(0, y+1, c.W, show.Clean(second), screen.Normal)
}

func (m *Screen) status() (first, second string) {
	var ps show.Problems
	switch {
	case m.typing == aName:
		if second = m.refuse; second == "" {
			second = "next time: drylane import FILE --profile NAME; an empty name keeps nothing"
		}
		return "keep these settings in the file: " + m.fill.Text + "_", second
	case errors.As(m.err, &ps) && len(ps) > 0:
		if len(ps) == 1 {
			return "1 thing is open:", ps[0].Error()
		}
		return fmt.Sprintf("%d things are open; the first:", len(ps)), ps[0].Error()
	case m.err != nil:
		return m.err.Error(), ""
	}
	first = m.src.Found(m.res)
	if m.cut {
		first += fmt.Sprintf(" (of the first %d rows)", rows)
	}
	if n := m.guesses(); n > 0 {
		first = fmt.Sprintf("look at each ? (%s). ", words.Count(n, "guess")) + first
	}
	if s := m.skipped(); s != "" {
		return first, "skipped: " + s
	}
	if notes := m.src.Notes(m.res); len(notes) > 0 {
		return first, notes[0]
	}
	return first, ""
}

// guesses counts the columns that were guessed and not looked at.
func (m *Screen) guesses() (n int) {
	for _, g := range m.guessed {
		if g {
			n++
		}
	}
	return n
}

// skipped is why the first row was skipped; the rows above the header, which
// are no cues, count only if there is no other.
func (m *Screen) skipped() (why string) {
	for _, s := range m.res.Skipped {
		if p := s.Problems[0]; why == "" || p.Severity > show.SeverityNote {
			if why = p.Error(); p.Severity > show.SeverityNote {
				return why
			}
		}
	}
	return why
}
