package console

import (
	"drylane/tui/screen"
)

// A layout says where everything stands.
type layout struct {
	tooSmall bool
	bar      screen.Rectangle // title and state
	clock    screen.Rectangle
	digit    int // width of a clock digit
	facts    screen.Rectangle
	wave     screen.Rectangle // music; its x and w are those of the tracks below
	labels   screen.Rectangle // lane names
	tracks   screen.Rectangle
	axis     screen.Rectangle
	panels   []screen.Rectangle
	message  screen.Rectangle
	keys     screen.Rectangle
}

// arrange lays out a window for a show with that many lanes.
func arrange(w, h, lanes int) layout {
	if w < screen.MinWidth || h < screen.MinHeight {
		return layout{tooSmall: true}
	}
	var l layout
	y := 0
	row := func(n int) screen.Rectangle { r := screen.Rect(0, y, w, n); y += n; return r }
	l.bar = row(1)

	band, digit := 5, 6
	if w < 100 {
		digit = 5
	}
	if w >= 150 && h >= 44 {
		band, digit = 7, 9
	}
	l.digit = digit
	cw := screen.ClockWidth("00:00.0", digit) + 2
	r := row(band)
	l.clock = screen.Rect(1, r.Y, cw, band)
	l.facts = screen.Rect(cw+2, r.Y, w-cw-3, band)

	keyRows := 1
	if h >= 30 {
		keyRows = 2
	}
	panelRows := max(4, (h-band-3)/4)
	waveRows := max(2, (h-band-4)/7)
	laneRows := h - 1 - band - waveRows - 1 - panelRows - 1 - keyRows
	// Rows that no lane needs go to the panels.
	if need := max(2, lanes*max(1, min(3, laneRows/max(1, lanes)))); laneRows > need {
		panelRows += laneRows - need
		laneRows = need
	}

	label := 11
	if w >= 100 {
		label = 15
	}
	tracks := func(r screen.Rectangle) screen.Rectangle { return screen.Rect(label+1, r.Y, w-label-2, r.H) }
	l.wave = tracks(row(waveRows))
	r = row(laneRows)
	l.labels = screen.Rect(1, r.Y, label-1, r.H)
	l.tracks = tracks(r)
	l.axis = tracks(row(1))

	n := 2
	if w >= 114 {
		n = 3
	}
	r = row(panelRows)
	for i := range n {
		from, to := i*w/n, (i+1)*w/n
		l.panels = append(l.panels, screen.Rect(from, r.Y, to-from, r.H))
	}
	l.message = row(1)
	l.keys = row(keyRows)
	return l
}
