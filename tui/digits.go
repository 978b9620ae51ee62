package tui

import (
	"time"

	"drylane/show/timebase"
)

// segments lists which of the seven strokes make a digit, as bits: top, upper
// left, upper right, middle, lower left, lower right, bottom.
var segments = [10]byte{0b1110111, 0b0010010, 0b1011101, 0b1011011, 0b0111010, 0b1101011, 0b1101111, 0b1010010, 0b1111111, 0b1111011}

// clockWidth returns the columns that drawClock needs for s with digits w wide.
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

// drawClock draws a time of digits, colons and a full stop, h rows high with
// digits w columns wide, readable from across a room.
func drawClock(c *canvas, x, y, w, h int, s string, style Style) {
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9':
			drawDigit(c, x, y, w, h, segments[r-'0'], style)
			x += w + 1
		case r == ':':
			c.fill(rect{x, y + h/4, 2, 1}, '▄', style)
			c.fill(rect{x, y + h - 1 - h/4, 2, 1}, '▀', style)
			x += 3
		default:
			c.fill(rect{x, y + h - 1, 2, 1}, '▄', style)
			x += 3
		}
	}
}

// drawTime draws d as minutes, seconds and tenths into r, at its right end so
// that the tenths keep their place.
func drawTime(c *canvas, r rect, digit int, d time.Duration, style Style) {
	text := timebase.ClockTenths(d)
	drawClock(c, r.x+max(0, r.w-2-clockWidth(text, digit)), r.y, digit, r.h, text, style)
}

func drawDigit(c *canvas, x, y, w, h int, seg byte, style Style) {
	on := func(bit int) bool { return seg>>(6-bit)&1 == 1 }
	mid := h / 2
	bar := func(row int, r rune) { c.fill(rect{x, y + row, w, 1}, r, style) }
	stroke := func(col, from, to int) { c.fill(rect{x + col, y + from, 2, to - from}, '█', style) }
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
		c.fill(rect{x, y + mid, 2, 1}, '▀', style)
	}
	if on(2) && !on(5) {
		c.fill(rect{x + w - 2, y + mid, 2, 1}, '▀', style)
	}
}
