package crew

import "drylane/tui/screen"

// A layout says where everything stands on a member's screen.
type layout struct {
	bar screen.Rectangle
	screen.Band
	large   screen.Rectangle // the state, or the countdown to the next cue
	facts   screen.Rectangle // lines under the band
	left    screen.Rectangle // cues, or taps
	right   screen.Rectangle // the crew, for those who see it
	events  screen.Rectangle // what happened, for those who see it
	message screen.Rectangle
	keys    screen.Rectangle
}

// arrange lays out a window with so many rows of facts.
func arrange(w, h, factRows int) layout {
	var l layout
	l.bar = screen.Rect(0, 0, w, 1)
	l.Band = screen.BandIn(w, h, 0)
	x := l.Clock.X + l.Clock.W
	l.large = screen.Rect(x, l.Clock.Y, max(0, w-x-1), l.Clock.H)
	y := l.Clock.Y + l.Clock.H
	l.facts = screen.Rect(1, y, w-2, factRows)
	y += factRows
	rows := max(0, h-y-3)
	lower := 0
	switch {
	case rows >= 12:
		lower = rows / 3
	case rows >= 9:
		lower = 3
	}
	half := w / 2
	if w < 100 {
		half = w - 42 // what the crew needs
	}
	l.left = screen.Rect(0, y, half, rows-lower)
	l.right = screen.Rect(half, y, w-half, rows-lower)
	l.events = screen.Rect(0, y+rows-lower, w, lower)
	l.message = screen.Rect(0, h-3, w, 1)
	l.keys = screen.Rect(0, h-2, w, 2)
	return l
}
