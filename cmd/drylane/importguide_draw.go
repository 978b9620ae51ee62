package main

import (
	"errors"
	"fmt"
	"strings"

	"drylane/show"
	"drylane/show/exchange"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
)

// The guide is drawn with weight and reversal only, so that it reads the same
// in every theme.
var (
	guideBar    = lipgloss.NewStyle().Reverse(true).Bold(true)
	guideStrong = lipgloss.NewStyle().Bold(true)
	guideQuiet  = lipgloss.NewStyle().Faint(true)
	guideMarked = lipgloss.NewStyle().Reverse(true)
)

// What the guide needs to be drawn whole.
const guideWidth, guideHeight = 60, 20

// View draws the screen.
func (g *guideModel) View() string {
	if g.w < guideWidth || g.h < guideHeight {
		return ansi.Truncate(fmt.Sprintf("a terminal of %d x %d is wanted; q leaves", guideWidth, guideHeight), max(0, g.w), "…")
	}
	lines := []string{guideBar.Render(pad(" import "+show.Clean(g.src.name), g.w)), g.read1()}
	lines = append(lines, g.columns()...)
	lines = append(lines, guideStrong.Render(pad("the first rows as they would become", g.w)))
	lines = append(lines, g.preview(g.h-len(lines)-3)...)
	for len(lines) < g.h-3 {
		lines = append(lines, "")
	}
	lines = append(lines, g.status()...)
	lines = append(lines, guideQuiet.Render(ansi.Truncate(g.keys(), g.w, "…")))
	return strings.Join(lines, "\n")
}

func (g *guideModel) keys() string {
	if g.typing {
		return "type what stands in every row without a value  enter take it  esc leave it"
	}
	return "up down line  left right change  tab side  f fill  enter import  q leave"
}

// read1 is the line that says how the file was taken.
func (g *guideModel) read1() string {
	if g.table == nil {
		return ""
	}
	return guideQuiet.Render(ansi.Truncate(howRead(g.table), g.w, "…"))
}

// columns are our columns with what they are made from, and beside them the
// settings.
func (g *guideModel) columns() []string {
	left := g.w/2 - 1
	lines := []string{guideStrong.Render(pad("our column   made from", left) + "  " + pad("setting", g.w-left-2))}
	for i := range max(int(exchange.ColumnCount), len(guideSettings)) {
		a, b := "", ""
		if i < int(exchange.ColumnCount) {
			a = fmt.Sprintf(" %-11s %s", exchange.Column(i), g.from(exchange.Column(i)))
		}
		if i < len(guideSettings) {
			b = fmt.Sprintf(" %-13s %s", guideSettings[i], g.setting(guideSettings[i]))
		}
		lines = append(lines, g.mark(0, i, pad(a, left))+"  "+g.mark(1, i, pad(b, g.w-left-2)))
	}
	return lines
}

// mark reverses the line under the cursor.
func (g *guideModel) mark(side, line int, s string) string {
	if g.side == side && g.line[side] == line {
		return guideMarked.Render(">" + s[1:])
	}
	return s
}

// from says what a column of ours is made from.
func (g *guideModel) from(c exchange.Column) string {
	if g.typing && int(c) == g.line[0] {
		return "always: " + g.text + "_"
	}
	var parts []string
	for _, i := range g.set[c] {
		parts = append(parts, g.table.Title(i))
	}
	if f := g.p.Fill[c]; f != "" {
		parts = append(parts, "else: "+f)
	}
	if len(parts) > 0 {
		return strings.Join(parts, ", ")
	}
	switch c {
	case exchange.EffectAt:
		return "- wanted"
	case exchange.Position:
		return "- wanted, or f to fill in a name"
	case exchange.Cue:
		return "- (numbered)"
	}
	return "-"
}

func (g *guideModel) setting(key string) string {
	if v := *g.p.Setting(key); v != "" {
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

// guideColumns are the widths of the preview's columns.
var guideColumns = [exchange.ColumnCount]int{5, 9, 8, 10, 6, 4, 14, 5, 8, 30}

// preview is a header and the first cues, in at most n lines.
func (g *guideModel) preview(n int) []string {
	if g.res == nil || n < 2 {
		return nil
	}
	row := func(fields []string) string {
		var b strings.Builder
		for i, f := range fields {
			b.WriteString(pad(f, guideColumns[i]) + " ")
		}
		return ansi.Truncate(b.String(), g.w, "…")
	}
	titles := exchange.Columns
	titles[exchange.Caliber] = "mm"
	lines := []string{guideQuiet.Render(row(titles[:]))}
	for _, c := range g.res.Cues[:min(n-1, len(g.res.Cues))] {
		lines = append(lines, row(cueFields(c)))
	}
	return lines
}

// status is two lines: what would come of the import, and the first thing
// that is wrong with it.
func (g *guideModel) status() []string {
	first, second := "", ""
	var ps show.Problems
	switch {
	case errors.As(g.err, &ps) && len(ps) > 0:
		first = fmt.Sprintf("%d things are open; the first:", len(ps))
		second = ps[0].Error()
	case g.err != nil:
		first = g.err.Error()
	default:
		first = counts(g.res)
		if g.partial {
			first += fmt.Sprintf(" (of the first %d rows)", guideRows)
		}
		if s := g.skipped(); s != "" {
			second = "skipped: " + s
		} else if r := remarks(g.res); len(r) > 0 {
			second = r[0]
		}
	}
	return []string{guideStrong.Render(ansi.Truncate(first, g.w, "…")), ansi.Truncate(show.Clean(second), g.w, "…")}
}

// skipped is why the first row was skipped; the rows above the header, which
// are no cues, count only if there is no other.
func (g *guideModel) skipped() (why string) {
	for _, s := range g.res.Skipped {
		if p := s.Problems[0]; why == "" || p.Severity > show.SeverityNote {
			if why = p.Error(); p.Severity > show.SeverityNote {
				return why
			}
		}
	}
	return why
}

// pad cuts or fills s to w columns of the terminal.
func pad(s string, w int) string {
	s = ansi.Truncate(s, w, "…")
	return s + strings.Repeat(" ", max(0, w-ansi.StringWidth(s)))
}
