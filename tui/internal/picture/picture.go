// Package picture makes a moving picture of frames as they go to a terminal: an SVG
// that plays wherever a page shows one, without a script.
package picture

import (
	"fmt"
	"html"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// A Movie is frames of one size, each as a screen's View gives it: lines with SGR
// sequences of colours as red, green and blue, and no other sequence.
type Movie struct {
	Columns, Rows int
	Text, Paper   string // colours of what has none of its own, #rrggbb
	Each          time.Duration
	Still         int // the frame that is shown to whoever wants no motion
	Title         string
	Frames        []string
	rows          map[string]int // the rows that are kept, each once
	kept          strings.Builder
	rules         []string
}

// The size of a cell, in pixels: that of common fonts, whose characters are 0.6 as wide
// as they are high.
const (
	cellW, cellH = 8, 16
	fontSize     = 13.3
	baseline     = 12
	margin       = 8
)

// SVG is the picture.
func (m *Movie) SVG() string {
	m.rows = map[string]int{}
	w, h := m.Columns*cellW+2*margin, m.Rows*cellH+2*margin
	var frames strings.Builder
	for i, frame := range m.Frames {
		fmt.Fprintf(&frames, `<g class="f" id="f%d">`, i)
		for y, line := range strings.Split(frame, "\n") {
			if id, ok := m.row(line); ok {
				fmt.Fprintf(&frames, `<use href="#r%d" y="%d"/>`, id, y*cellH)
			}
		}
		frames.WriteString("</g>\n")
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img">
<title>%s</title>
<style>%s</style>
<rect width="100%%" height="100%%" rx="6" fill="%s"/>
<defs>
%s</defs>
<g transform="translate(%d %d)">
%s</g>
</svg>
`, w, h, html.EscapeString(m.Title), m.style(), m.Paper, m.kept.String(), margin, margin, frames.String())
}

// style has the fonts, the colours, and when each frame is seen.
func (m *Movie) style() string {
	var b strings.Builder
	n := len(m.Frames)
	fmt.Fprintf(&b, "text{font:%gpx ui-monospace,Menlo,Consolas,\"DejaVu Sans Mono\",monospace;fill:%s;white-space:pre}", fontSize, m.Text)
	for i, rule := range m.rules {
		fmt.Fprintf(&b, ".c%d{%s}", i, rule)
	}
	fmt.Fprintf(&b, "@keyframes f{0%%{visibility:visible}%s%%,100%%{visibility:hidden}}", strconv.FormatFloat(100/float64(n), 'f', 3, 64))
	fmt.Fprintf(&b, ".f{visibility:hidden;animation:f %gs step-end infinite}", (m.Each * time.Duration(n)).Seconds())
	for i := range n {
		fmt.Fprintf(&b, "#f%d{animation-delay:%gs}", i, (time.Duration(i)*m.Each - time.Duration(n)*m.Each).Seconds())
	}
	fmt.Fprintf(&b, "@media (prefers-reduced-motion:reduce){.f{animation:none}#f%d{visibility:visible}}", m.Still)
	return b.String()
}

// row keeps a line and returns its number; ok is false for an empty one.
func (m *Movie) row(line string) (id int, ok bool) {
	body := m.draw(line)
	if body == "" {
		return 0, false
	}
	id, known := m.rows[body]
	if !known {
		id = len(m.rows)
		m.rows[body] = id
		fmt.Fprintf(&m.kept, "<g id=\"r%d\">%s</g>\n", id, body)
	}
	return id, true
}

// draw turns a line into rectangles and texts, run by run.
func (m *Movie) draw(line string) string {
	var back, front strings.Builder
	x, look := 0, sgr{}
	for line != "" {
		if rest, ok := strings.CutPrefix(line, "\x1b["); ok {
			codes, behind, _ := strings.Cut(rest, "m")
			look.set(codes)
			line = behind
			continue
		}
		end := strings.IndexByte(line, '\x1b')
		if end < 0 {
			end = len(line)
		}
		text := line[:end]
		line = line[end:]
		n := utf8.RuneCountInString(text)
		if look.back != "" {
			fmt.Fprintf(&back, `<rect x="%d" width="%d" height="%d" fill="%s"/>`, x*cellW, n*cellW, cellH, look.back)
		}
		m.text(&front, x, text, look)
		x += n
	}
	if front.Len() == 0 {
		return back.String()
	}
	return fmt.Sprintf(`%s<text y="%d">%s</text>`, back.String(), baseline, front.String())
}

// text writes a run, without the blanks around it. What is not ASCII may be of another
// font, and is made as wide as its cells are.
func (m *Movie) text(b *strings.Builder, x int, text string, look sgr) {
	bare := strings.TrimLeft(text, " ")
	x += len(text) - len(bare)
	if bare = strings.TrimRight(bare, " "); bare == "" {
		return
	}
	attributes := ""
	if n := utf8.RuneCountInString(bare); n > 1 && n < len(bare) {
		attributes = fmt.Sprintf(` textLength="%d"`, n*cellW)
	}
	if rule := look.rule(); rule != "" {
		attributes += fmt.Sprintf(` class="c%d"`, m.class(rule))
	}
	fmt.Fprintf(b, `<tspan x="%d"%s>%s</tspan>`, x*cellW, attributes, html.EscapeString(bare))
}

// class is the number of a rule of the style.
func (m *Movie) class(rule string) int {
	for i, r := range m.rules {
		if r == rule {
			return i
		}
	}
	m.rules = append(m.rules, rule)
	return len(m.rules) - 1
}

// sgr is how text looks, by ECMA-48's SGR.
type sgr struct {
	fore, back string
	bold       bool
}

// set changes it by the numbers of one sequence. Numbers that no theme has change
// nothing.
func (s *sgr) set(codes string) {
	n := strings.Split(codes, ";")
	for i := 0; i < len(n); i++ {
		switch {
		case n[i] == "" || n[i] == "0":
			*s = sgr{}
		case n[i] == "1":
			s.bold = true
		case (n[i] == "38" || n[i] == "48") && len(n)-i > 4 && n[i+1] == "2":
			colour := "#"
			for _, part := range n[i+2 : i+5] {
				v, _ := strconv.ParseUint(part, 10, 8)
				colour += fmt.Sprintf("%02x", v)
			}
			if n[i] == "38" {
				s.fore = colour
			} else {
				s.back = colour
			}
			i += 4
		}
	}
}

// rule is that of the style, for text.
func (s sgr) rule() string {
	rule := ""
	if s.fore != "" {
		rule = "fill:" + s.fore
	}
	if s.bold {
		rule = strings.TrimPrefix(rule+";font-weight:bold", ";")
	}
	return rule
}
