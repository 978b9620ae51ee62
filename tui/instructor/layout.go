package instructor

import (
	"drylane/tui/screen"
)

// A layout says where everything stands on the instructor's screen.
type layout struct {
	bar screen.Rectangle
	screen.Band
	next    screen.Rectangle // cues to come
	taps    screen.Rectangle
	up      screen.Rectangle // still up; empty in a narrow window
	steps   screen.Rectangle // what was done to the run
	events  screen.Rectangle
	menus   screen.Rectangle // what the menus stand in: clock and facts stay in sight
	message screen.Rectangle
	keys    screen.Rectangle
}

// factLines are the lines beside the clock.
const factLines = 6

// arrange lays out a window.
func arrange(w, h int) layout {
	var l layout
	l.bar = screen.Rect(0, 0, w, 1)
	l.Band = screen.BandIn(w, h, factLines)

	top := 1 + l.Facts.H
	room := h - top - 2
	upper := room * 2 / 5
	l.message, l.keys = screen.Rect(0, h-2, w, 1), screen.Rect(0, h-1, w, 1)
	l.menus = screen.Rect(0, top, w, h-top)
	n := 2
	if w >= 114 {
		n = 3
	}
	col := func(i int) int { return i * w / n }
	part := func(from, to, y, rows int) screen.Rectangle {
		return screen.Rect(col(from), y, col(to)-col(from), rows)
	}
	l.next, l.taps = part(0, 1, top, upper), part(1, 2, top, upper)
	if n == 3 {
		l.up = part(2, 3, top, upper)
	}
	l.steps, l.events = part(0, n-1, top+upper, room-upper), part(n-1, n, top+upper, room-upper)
	return l
}
