// Package tui is the console: bubbletea models that draw a run and turn keys
// into commands. There is one tea model a screen; panels are functions that draw
// into a rectangle of a canvas.
package tui

import (
	"math"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
	"github.com/rivo/uniseg"
)

// A cell is one column of one row. The second column of a wide character has
// wide set and is not printed.
type cell struct {
	r     rune
	more  uint16 // index into extras of the combining characters that follow r
	style Style
	wide  bool
}

// A canvas is a grid of cells that is drawn into and then turned into text.
// Drawing outside of it does nothing.
type canvas struct {
	w, h  int
	cells []cell
	ascii bool

	extras []string // [0] is empty
	buf    []byte
}

// reset makes the canvas w by h blanks.
func (c *canvas) reset(w, h int) {
	if n := w * h; cap(c.cells) < n {
		c.cells = make([]cell, n)
	}
	c.w, c.h, c.cells = w, h, c.cells[:w*h]
	c.extras = append(c.extras[:0], "")
	for i := range c.cells {
		c.cells[i] = cell{r: ' '}
	}
}

// set puts one single-column character.
func (c *canvas) set(x, y int, r rune, s Style) {
	if x >= 0 && x < c.w && y >= 0 && y < c.h {
		c.cells[y*c.w+x] = cell{r: r, style: s}
	}
}

// at returns the cell at x, y, which must be inside.
func (c *canvas) at(x, y int) *cell { return &c.cells[y*c.w+x] }

// text puts s from x, y on and returns the column behind it. No more than
// room columns are used; what does not fit ends in an ellipsis.
func (c *canvas) text(x, y, room int, s string, style Style) int {
	room = min(room, c.w-x)
	if room <= 0 || y < 0 || y >= c.h {
		return x
	}
	if isASCII(s) {
		return c.plain(x, y, room, s, style)
	}
	if uniseg.StringWidth(s) > room {
		s = cutWidth(s, room-1) + "…"
	}
	g := uniseg.NewGraphemes(s)
	for g.Next() {
		runes := g.Runes()
		w := min(g.Width(), 2)
		if w == 0 {
			continue
		}
		c.set(x, y, runes[0], style)
		if x < c.w {
			c.at(x, y).more = c.extra(runes[1:])
		}
		if w == 2 {
			c.set(x+1, y, ' ', style)
			if x+1 < c.w {
				c.at(x+1, y).wide = true
			}
		}
		x += w
	}
	return x
}

// extra keeps combining characters, as many as anybody writes on purpose.
func (c *canvas) extra(runes []rune) uint16 {
	if len(runes) == 0 || len(c.extras) > math.MaxUint16 {
		return 0
	}
	c.extras = append(c.extras, string(runes[:min(len(runes), 8)]))
	return uint16(len(c.extras) - 1)
}

func (c *canvas) plain(x, y, room int, s string, style Style) int {
	cut := len(s) > room
	if cut {
		s = s[:room-1]
	}
	for i := range len(s) {
		c.set(x, y, rune(s[i]), style)
		x++
	}
	if cut {
		c.set(x, y, '…', style)
		x++
	}
	return x
}

// right puts s so that it ends before column x.
func (c *canvas) right(x, y int, s string, style Style) {
	w := uniseg.StringWidth(s)
	c.text(x-w, y, w, s, style)
}

// fill puts r into a rectangle.
func (c *canvas) fill(rc rect, r rune, style Style) {
	for y := rc.y; y < rc.y+rc.h; y++ {
		for x := rc.x; x < rc.x+rc.w; x++ {
			c.set(x, y, r, style)
		}
	}
}

// render turns the canvas into lines with the theme's escape sequences.
func (c *canvas) render(t *Theme) string {
	c.buf = c.buf[:0]
	for y := range c.h {
		if y > 0 {
			c.buf = append(c.buf, '\n')
		}
		c.renderRow(c.cells[y*c.w:(y+1)*c.w], t)
	}
	return string(c.buf)
}

func (c *canvas) renderRow(row []cell, t *Theme) {
	for len(row) > 0 && row[len(row)-1].r == ' ' && t.invisible(row[len(row)-1].style) {
		row = row[:len(row)-1] // blanks at the end need not be written
	}
	for i := 0; i < len(row); {
		style := row[i].style
		open, shut := t.codes(style)
		c.buf = append(c.buf, open...)
		// A blank looks the same in any style that shows nothing, so it need
		// not end the run.
		for ; i < len(row) && (row[i].style == style || row[i].r == ' ' && t.plain[row[i].style] && t.plain[style]); i++ {
			c.renderCell(&row[i])
		}
		c.buf = append(c.buf, shut...)
	}
}

func (c *canvas) renderCell(x *cell) {
	switch {
	case x.wide:
		if c.ascii {
			c.buf = append(c.buf, '?')
		}
	case c.ascii && x.r > 126:
		c.buf = append(c.buf, toASCII(x.r))
	default:
		c.buf = utf8.AppendRune(c.buf, x.r)
		c.buf = append(c.buf, c.extras[x.more]...)
	}
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}

// cutWidth returns the longest beginning of s that is at most w columns wide.
func cutWidth(s string, w int) string {
	n, used := 0, 0
	g := uniseg.NewGraphemes(s)
	for g.Next() {
		if used += g.Width(); used > w {
			break
		}
		_, n = g.Positions()
	}
	return s[:n]
}

// toASCII stands in for a character on a terminal that has none but ASCII.
func toASCII(r rune) byte {
	if b, ok := asciiFor[r]; ok {
		return b
	}
	if r >= 0x2800 && r <= 0x28ff { // braille: by how many dots are set
		return " ..::oo##"[popcount(byte(r))]
	}
	if runewidth.RuneWidth(r) == 0 {
		return ' '
	}
	return '?'
}

func popcount(b byte) (n int) {
	for ; b != 0; b &= b - 1 {
		n++
	}
	return n
}

// asciiFor lists every other character that the console draws with.
var asciiFor = map[rune]byte{
	'█': '#', '▀': '"', '▄': '_', '▌': '*', '▐': '*', '░': '=', '▒': ':', '▓': '#',
	'─': '-', '╴': '-', '╶': '-', '━': '=', '│': '|', '┃': '|', '┼': '+', '╎': ':', '┊': ':', '▏': '|',
	'┌': '+', '┐': '+', '└': '+', '┘': '+', '├': '+', '┤': '+', '┬': '+', '┴': '+', '╭': '+', '╮': '+', '╰': '+', '╯': '+',
	'▸': '>', '▹': '>', '▾': 'v', '▴': '^', '◂': '<', '×': 'x', '·': '.', '•': '*', '…': '~', '◆': '*', '◇': '*', '●': '*', '○': 'o', '■': '#', '□': '.',
	'–': '-', '—': '-', '±': '~', '→': '>', '←': '<', '↑': '^', '↓': 'v', '✓': 'x', '▮': '#', '▯': '-', '°': 'o', 'µ': 'u',
	'▁': '_', '▂': '_', '▃': '_', '▅': '=', '▆': '=', '▇': '#', '╌': '-', '║': '|', '═': '=', '’': '\'', '“': '"', '”': '"',
}
