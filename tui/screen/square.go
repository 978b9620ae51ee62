package screen

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// A Square is a QR code (ISO/IEC 18004) of a text, in half blocks: a cell of a terminal
// is two of its modules, one above the other.
type Square struct{ code *qr.Code }

// quiet is how many modules around it must be light (section 9.1 of the standard).
const quiet = 4

// NewSquare makes the square of a text of some hundred characters at most.
func NewSquare(text string) (Square, error) {
	c, err := qr.Encode(text, qr.L) // a screen has no stains: the smallest square is read from farthest away
	if err != nil {
		return Square{}, fmt.Errorf("found a text of %d characters; no square has room for it", len(text))
	}
	return Square{c}, nil
}

// Size is how many columns and rows it takes.
func (s Square) Size() (w, h int) {
	n := s.code.Size + 2*quiet
	return n, (n + 1) / 2
}

// Rows are its rows. What is light in it is drawn, and what is dark left blank, for
// light characters on a dark ground; with onLight it is the other way round.
func (s Square) Rows(onLight bool) (rows []string) {
	w, _ := s.Size()
	drawn := func(x, y int) bool { return y < w && s.code.Black(x-quiet, y-quiet) == onLight }
	for y := 0; y < w; y += 2 {
		var row strings.Builder
		for x := range w {
			row.WriteRune(halves[drawn(x, y)][drawn(x, y+1)])
		}
		rows = append(rows, row.String())
	}
	return rows
}

// halves are the characters by whether the upper and the lower half are drawn.
var halves = map[bool]map[bool]rune{true: {true: '█', false: '▀'}, false: {true: '▄', false: ' '}}

// Square draws a square at x, y in the colours of the theme. In ASCII there is none.
func (c *Canvas) Square(x, y int, s Square) {
	for dy, row := range s.Rows(c.look.OnLight()) {
		for dx, r := range []rune(row) {
			c.Set(x+dx, y+dy, r, Normal)
		}
	}
}

// OnLight reports whether the theme is for a light ground.
func (l Look) OnLight() bool { return l.Theme.Name == "light" }
