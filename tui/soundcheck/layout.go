package soundcheck

import (
	"drylane/tui/screen"
)

// A layout says where everything stands in the sound check.
type layout struct {
	bar screen.Rectangle
	screen.Band
	meters  screen.Rectangle // heading, both sides, scale
	tall    int              // rows of a meter
	list    screen.Rectangle
	rows    screen.Rectangle // the list without its heading
	words   screen.Rectangle // what to listen for
	ears    screen.Rectangle
	message screen.Rectangle
	keys    screen.Rectangle
}

// arrange lays out a window.
func arrange(w, h int) layout {
	var l layout
	y := 0
	row := func(n int) screen.Rectangle { r := screen.Rect(0, y, w, n); y += n; return r }
	l.bar = row(1)
	l.Band = screen.BandIn(w, h, 0)
	row(l.Facts.H)
	l.tall = 1
	keyRows := 1
	if h >= 30 {
		keyRows, l.tall = 2, 2
	}
	l.meters = row(2*l.tall + 2)
	r := row(h - y - 2 - keyRows)
	half := w / 2
	if w >= 150 {
		half = w / 3
	}
	l.list, l.rows = screen.Rect(0, r.Y, half, r.H), screen.Rect(0, r.Y+1, half, r.H-1)
	l.words = screen.Rect(half, r.Y, w-half, r.H)
	l.ears, l.message, l.keys = row(1), row(1), row(keyRows)
	return l
}
