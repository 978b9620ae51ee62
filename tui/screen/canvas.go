// Package screen is what all screens share, and no screen itself: the canvas and
// what is drawn on it, the keys and the terminal that they come from, themes.
//
// A screen is a Model, one a package. It draws on a Canvas, panel by panel, each
// into a Rectangle, and Run shows it on a terminal.
package screen

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"unicode/utf8"

	"drylane/show/ascii"

	tea "github.com/charmbracelet/bubbletea"
)

// A Cell is one column of one row. The second column of a wide character has
// Wide set and is not printed.
type Cell struct {
	Rune  rune
	more  uint16 // index into extras of the combining characters that follow Rune
	Style Style
	Wide  bool
}

// A Canvas is a grid of cells that is drawn into and then turned into text.
// Drawing outside of it does nothing.
type Canvas struct {
	W, H  int // of the window
	cells []Cell
	look  Look // of the picture

	extras []string // [0] is empty
	buf    []byte
}

// minWidth and minHeight are the smallest window a screen can be read in.
const (
	minWidth  = 64
	minHeight = 18
)

// Resize sets the size of the pictures from now on.
func (c *Canvas) Resize(window tea.WindowSizeMsg) { c.W, c.H = window.Width, window.Height }

// Fits reports whether the window has room for a screen.
func (c *Canvas) Fits() bool { return c.W >= minWidth && c.H >= minHeight }

// Begin clears the canvas for a new picture with that look.
func (c *Canvas) Begin(l Look) *Canvas {
	n := c.W * c.H
	if cap(c.cells) < n {
		c.cells = make([]Cell, n)
	}
	c.cells, c.look = c.cells[:n], l
	c.extras = append(c.extras[:0], "")
	for i := range c.cells {
		c.cells[i] = Cell{Rune: ' '}
	}
	return c
}

// Picture draws a whole screen with draw, or with tooSmall where the window has
// no room for it, and returns the text.
func (c *Canvas) Picture(l Look, draw, tooSmall func(*Canvas)) string {
	c.Begin(l)
	if !c.Fits() {
		draw = tooSmall
	}
	draw(c)
	return c.Render(l.Theme)
}

// TooSmall draws what a window without room for a screen shows all the same: what
// must be known of the run, which screen has no room, and what goes on.
func (c *Canvas) TooSmall(which, goesOn string, known ...string) {
	lines := append(known, "", "This window is too small:", fmt.Sprintf("%d x %d, and the %s", c.W, c.H, which),
		fmt.Sprintf("needs %d x %d.", minWidth, minHeight), goesOn)
	for y, line := range lines {
		c.Text(0, y, c.W, line, Normal)
	}
}

// Set puts one single-column character.
func (c *Canvas) Set(x, y int, r rune, s Style) {
	if x >= 0 && x < c.W && y >= 0 && y < c.H {
		c.cells[y*c.W+x] = Cell{Rune: r, Style: s}
	}
}

// At returns the cell at x, y, which must be inside.
func (c *Canvas) At(x, y int) *Cell { return &c.cells[y*c.W+x] }

// Text puts s from x, y on and returns the column behind it. No more than
// room columns are used; what does not fit ends in an ellipsis.
func (c *Canvas) Text(x, y, room int, s string, style Style) int {
	room = min(room, c.W-x)
	if room <= 0 || y < 0 || y >= c.H {
		return x
	}
	if s = c.look.Shown(s); ascii.Is(s) {
		return c.plain(x, y, room, s, style)
	}
	if Width(s) > room {
		s = cutWidth(s, room-1) + "…"
	}
	for s != "" {
		cell, w := nextCell(s)
		s = s[len(cell):]
		if w == 0 { // marks on nothing
			continue
		}
		runes := []rune(cell)
		c.Set(x, y, runes[0], style)
		if x < c.W {
			c.At(x, y).more = c.extra(runes[1:])
		}
		if w == 2 {
			c.Set(x+1, y, ' ', style)
			if x+1 < c.W {
				c.At(x+1, y).Wide = true
			}
		}
		x += w
	}
	return x
}

// extra keeps combining characters, as many as anybody writes on purpose.
func (c *Canvas) extra(runes []rune) uint16 {
	if len(runes) == 0 || len(c.extras) > math.MaxUint16 {
		return 0
	}
	c.extras = append(c.extras, string(runes[:min(len(runes), 8)]))
	return uint16(len(c.extras) - 1)
}

func (c *Canvas) plain(x, y, room int, s string, style Style) int {
	cut := len(s) > room
	if cut {
		s = s[:room-1]
	}
	for i := range len(s) {
		c.Set(x, y, rune(s[i]), style)
		x++
	}
	if cut {
		c.Set(x, y, '…', style)
		x++
	}
	return x
}

// Width is how many columns a text takes as it is drawn.
func (c *Canvas) Width(s string) int { return c.look.Width(s) }

// Right puts s so that it ends before column x.
func (c *Canvas) Right(x, y int, s string, style Style) {
	w := c.Width(s)
	c.Text(x-w, y, w, s, style)
}

// Fill puts r into a rectangle.
func (c *Canvas) Fill(rc Rectangle, r rune, style Style) {
	for y := rc.Y; y < rc.Y+rc.H; y++ {
		for x := rc.X; x < rc.X+rc.W; x++ {
			c.Set(x, y, r, style)
		}
	}
}

// Render turns the canvas into lines with the theme's escape sequences.
func (c *Canvas) Render(t *Theme) string {
	c.buf = c.buf[:0]
	for y := range c.H {
		if y > 0 {
			c.buf = append(c.buf, '\n')
		}
		c.renderRow(c.cells[y*c.W:(y+1)*c.W], t)
	}
	return string(c.buf)
}

func (c *Canvas) renderRow(row []Cell, t *Theme) {
	for len(row) > 0 && row[len(row)-1].Rune == ' ' && t.invisible(row[len(row)-1].Style) {
		row = row[:len(row)-1] // blanks at the end need not be written
	}
	for i := 0; i < len(row); {
		style := row[i].Style
		open, shut := t.codes(style)
		c.buf = append(c.buf, open...)
		// A blank looks the same in any style that shows nothing, so it need
		// not end the run.
		for ; i < len(row) && (row[i].Style == style || row[i].Rune == ' ' && t.plain[row[i].Style] && t.plain[style]); i++ {
			c.renderCell(&row[i])
		}
		c.buf = append(c.buf, shut...)
	}
}

func (c *Canvas) renderCell(x *Cell) {
	switch {
	case x.Wide:
	case c.look.ASCII && x.Rune > 126:
		c.buf = append(c.buf, toASCII(x.Rune))
	default:
		c.buf = utf8.AppendRune(c.buf, x.Rune)
		c.buf = append(c.buf, c.extras[x.more]...)
	}
}

// toASCII stands in for a character that screens draw with, on a terminal that has none
// but ASCII. Texts are spelled before they are drawn.
func toASCII(r rune) byte {
	if b, ok := asciiFor[r]; ok {
		return b
	}
	if r >= 0x2800 && r <= 0x28ff { // braille: by how many dots are set
		return " ..::oo##"[popcount(byte(r))]
	}
	return '#'
}

// Characters are those that the screens draw with, beside ASCII; of the dots of
// braille some.
func Characters() []rune {
	return append(slices.Sorted(maps.Keys(asciiFor)), '⠁', '⡇', '⢸', '⣀', '⣿')
}

func popcount(b byte) (n int) {
	for ; b != 0; b &= b - 1 {
		n++
	}
	return n
}

// asciiFor lists every other character that the screens draw with.
var asciiFor = map[rune]byte{
	'█': '#', '▀': '"', '▄': '_', '▌': '*', '▐': '*', '░': '=', '▒': ':', '▓': '#',
	'─': '-', '╴': '-', '╶': '-', '━': '=', '│': '|', '┃': '|', '┼': '+', '╎': ':', '┊': ':', '▏': '|',
	'┌': '+', '┐': '+', '└': '+', '┘': '+', '├': '+', '┤': '+', '┬': '+', '┴': '+', '╭': '+', '╮': '+', '╰': '+', '╯': '+',
	'▸': '>', '▹': '>', '▾': 'v', '▴': '^', '◂': '<', '×': 'x', '·': '.', '•': '*', '…': '~', '◆': '*', '◇': '*', '●': '*', '○': 'o', '■': '#', '□': '.',
	'–': '-', '—': '-', '±': '~', '✓': 'x', '✶': '*', '▮': '#', '▯': '-', '°': 'o', 'µ': 'u',
	'▁': '_', '▂': '_', '▃': '_', '▅': '=', '▆': '=', '▇': '#', '╌': '-', '║': '|', '═': '=', '’': '\'', '“': '"', '”': '"',
}
