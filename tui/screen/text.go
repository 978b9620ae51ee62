package screen

import "strings"

// Wrap breaks text into lines of at most w columns.
func Wrap(s string, w int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		switch {
		case line == "":
			line = word
		case Width(line)+1+Width(word) <= w:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

// WrapExact breaks text into lines of w columns, blanks and all, so that what
// is typed stays where it was typed.
func WrapExact(s string, w int) []string {
	var lines []string
	for s != "" {
		l := cutWidth(s, w)
		if l == "" { // not even one character fits
			break
		}
		lines, s = append(lines, l), s[len(l):]
	}
	return lines
}

// A Paragraph writes wrapped lines into a rectangle until it is full.
type Paragraph struct {
	c    *Canvas
	Left Rectangle // what is not written on yet
}

// Paragraph begins a text in r.
func (c *Canvas) Paragraph(r Rectangle) *Paragraph { return &Paragraph{c, r} }

// Write wraps text into the lines that are left.
func (p *Paragraph) Write(text string, style Style) {
	for _, l := range p.c.look.Wrap(text, min(p.Left.W, 76)) { // longer lines read badly
		if p.Left.H > 0 && l != "" {
			p.c.Text(p.Left.X, p.Left.Y, p.Left.W, l, style)
			p.Left.Y++
			p.Left.H--
		}
	}
}

// WriteWhole is Write where there is room for all of the text, else it writes nothing: half
// a sentence may say the opposite of the whole. What fits in a line keeps its blanks: it
// may be a column.
func (p *Paragraph) WriteWhole(text string, style Style) {
	lines := []string{text}
	if p.c.Width(text) > p.Left.W {
		lines = p.c.look.Wrap(text, min(p.Left.W, 76))
	}
	if len(lines) > p.Left.H {
		return
	}
	for _, l := range lines {
		p.c.Text(p.Left.X, p.Left.Y, p.Left.W, l, style)
		p.Left.Y++
		p.Left.H--
	}
}

// Skip leaves a line empty.
func (p *Paragraph) Skip() {
	if p.Left.H > 0 {
		p.Left.Y++
		p.Left.H--
	}
}
