package screen

import (
	"time"

	"drylane/show/timebase"
)

// segments lists which of the seven strokes make a digit, as bits: top, upper
// left, upper right, middle, lower left, lower right, bottom.
var segments = [10]byte{0b1110111, 0b0010010, 0b1011101, 0b1011011, 0b0111010, 0b1101011, 0b1101111, 0b1010010, 0b1111111, 0b1111011}

// TimeWidth is how many columns LargeTime needs for s with digits w wide.
func TimeWidth(s string, w int) int { return max(0, clockWidth(s, w)-1) }

// LargeTime draws digits, colons and full stops as the clock does.
func (c *Canvas) LargeTime(r Rectangle, w int, s string, style Style) {
	c.clock(r.X, r.Y, w, r.H, s, style)
}

// clockWidth returns the columns that clock needs for s with digits w wide.
func clockWidth(s string, w int) int {
	n := 0
	for _, r := range s {
		if r >= '0' && r <= '9' {
			n += w + 1
		} else {
			n += 3
		}
	}
	return n
}

// clock draws a time of digits, colons and a full stop, h rows high with
// digits w columns wide, readable from across a room.
func (c *Canvas) clock(x, y, w, h int, s string, style Style) {
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9':
			c.digit(x, y, w, h, segments[r-'0'], style)
			x += w + 1
		case r == ':':
			c.Fill(Rect(x, y+h/4, 2, 1), '▄', style)
			c.Fill(Rect(x, y+h-1-h/4, 2, 1), '▀', style)
			x += 3
		default:
			c.Fill(Rect(x, y+h-1, 2, 1), '▄', style)
			x += 3
		}
	}
}

// Time draws d as minutes, seconds and tenths on a band's clock, at its right
// end so that the tenths keep their place.
func (c *Canvas) Time(b Band, d time.Duration, style Style) {
	text := timebase.ClockTenths(d)
	r := b.Clock
	c.clock(r.X+max(0, r.W-2-clockWidth(text, b.Digit)), r.Y, b.Digit, r.H, text, style)
}

func (c *Canvas) digit(x, y, w, h int, seg byte, style Style) {
	on := func(bit int) bool { return seg>>(6-bit)&1 == 1 }
	mid := h / 2
	bar := func(row int, r rune) { c.Fill(Rect(x, y+row, w, 1), r, style) }
	stroke := func(col, from, to int) { c.Fill(Rect(x+col, y+from, 2, to-from), '█', style) }
	if on(0) {
		bar(0, '▀')
	}
	if on(6) {
		bar(h-1, '▄')
	}
	if on(3) {
		bar(mid, '▀')
	}
	if on(1) {
		stroke(0, 0, mid)
	}
	if on(2) {
		stroke(w-2, 0, mid)
	}
	if on(4) {
		stroke(0, mid, h)
	}
	if on(5) {
		stroke(w-2, mid, h)
	}
	// Where two strokes meet the bar's half block would leave a notch.
	if on(1) && !on(4) && !on(3) {
		c.Fill(Rect(x, y+mid, 2, 1), '▀', style)
	}
	if on(2) && !on(5) {
		c.Fill(Rect(x+w-2, y+mid, 2, 1), '▀', style)
	}
}
