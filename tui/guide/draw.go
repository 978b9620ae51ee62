package guide

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/exchange"
	"drylane/tui/screen"
)

// What the guide needs to be drawn whole.
const minWidth, minHeight = 60, 20

// View implements tea.Model.
func (m *Screen) View() string {
	c := m.canvas.Begin(m.ASCII)
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
	half := c.W/2 - 1
	m.drawColumns(c, screen.Rect(0, 2, half, lines+1))
	m.drawSettings(c, screen.Rect(half+2, 2, c.W-half-2, lines+1))
	c.Text(0, 3+lines, c.W, "the first rows as they would become", screen.Strong)
	m.drawPreview(c, screen.Rect(0, 4+lines, c.W, c.H-7-lines))
	m.drawStatus(c, c.H-3)
	m.drawKeys(c, screen.Rect(0, c.H-1, c.W, 1))
	return c.Render(m.Theme)
}

func (m *Screen) drawKeys(c *screen.Canvas, r screen.Rectangle) {
	keys := []screen.Hint{{Key: "↑ ↓", Label: "line"}, {Key: "← →", Label: "change"}, {Key: "tab", Label: "side"},
		{Key: "f", Label: "fill"}, {Key: "enter", Label: "import"}, {Key: "q", Label: "leave"}}
	if m.typing {
		keys = []screen.Hint{{Key: "enter", Label: "fill every row without a value"}, {Key: "esc", Label: "go back"}}
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
	if m.typing && column == m.column() {
		return "always: " + m.fill.Text + "_"
	}
	var parts []string
	for _, i := range m.set[column] {
		parts = append(parts, m.table.Title(i))
	}
	if f := m.p.Fill[column]; f != "" {
		parts = append(parts, "else: "+f)
	}
	if len(parts) > 0 {
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

// widths are those of the preview's columns.
var widths = [exchange.IgniteAt]int{5, 9, 8, 10, 6, 4, 14, 5, 8, 30}

// drawPreview draws a header and the first cues.
func (m *Screen) drawPreview(c *screen.Canvas, r screen.Rectangle) {
	if m.res == nil || r.H < 2 {
		return
	}
	row := func(y int, cells []string, style screen.Style) {
		x := r.X
		for i, s := range cells {
			c.Text(x, r.Y+y, widths[i], s, style)
			x += widths[i] + 1
		}
	}
	titles := slices.Clone(exchange.Listed)
	titles[exchange.Caliber] = "mm"
	row(0, titles, screen.Quiet)
	for i, cue := range m.res.Cues[:min(r.H-1, len(m.res.Cues))] {
		row(1+i, m.src.Cells(cue), screen.Normal)
	}
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
	if s := m.skipped(); s != "" {
		return first, "skipped: " + s
	}
	if notes := m.src.Notes(m.res); len(notes) > 0 {
		return first, notes[0]
	}
	return first, ""
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
