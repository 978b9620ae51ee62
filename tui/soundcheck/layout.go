package soundcheck

import (
	"drylane/tui/screen"
)

// A layout says where everything stands in the sound check.
type layout struct {
	tooSmall bool
	bar      screen.Rectangle
	clock    screen.Rectangle
	digit    int // width of a clock digit
	facts    screen.Rectangle
	meters   screen.Rectangle // heading, both sides, scale
	tall     int              // rows of a meter
	list     screen.Rectangle
	words    screen.Rectangle // what to listen for
	ears     screen.Rectangle
	message  screen.Rectangle
	keys     screen.Rectangle
}

// arrange lays out a window.
func arrange(w, h int) layout {
	if w < screen.MinWidth || h < screen.MinHeight {
		return layout{tooSmall: true}
	}
	var l layout
	y := 0
	row := func(n int) screen.Rectangle { r := screen.Rect(0, y, w, n); y += n; return r }
	l.bar = row(1)
	band, digit := 5, 6
	switch {
	case w < 100:
		digit = 5
	case w >= 150 && h >= 44:
		band, digit = 7, 9
	}
	l.digit, l.tall = digit, 1
	r := row(band)
	cw := screen.ClockWidth("00:00.0", digit) + 2
	l.clock = screen.Rect(1, r.Y, cw, band)
	l.facts = screen.Rect(cw+2, r.Y, w-cw-3, band)
	keyRows := 1
	if h >= 30 {
		keyRows, l.tall = 2, 2
	}
	l.meters = row(2*l.tall + 2)
	r = row(h - y - 2 - keyRows)
	half := w / 2
	if w >= 150 {
		half = w / 3
	}
	l.list = screen.Rect(0, r.Y, half, r.H)
	l.words = screen.Rect(half, r.Y, w-half, r.H)
	l.ears, l.message, l.keys = row(1), row(1), row(keyRows)
	return l
}
