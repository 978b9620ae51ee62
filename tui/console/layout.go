package console

import (
	"drylane/tui/screen"
)

// A layout says where everything stands.
type layout struct {
	bar screen.Rectangle // title and state
	screen.Band
	wave    screen.Rectangle // music; its x and w are those of the tracks below
	labels  screen.Rectangle // lane names
	tracks  screen.Rectangle
	axis    screen.Rectangle
	panels  []screen.Rectangle
	message screen.Rectangle
	keys    screen.Rectangle
}

// arrange lays out a window for a show with that many lanes.
func arrange(w, h, lanes int) layout {
	var l layout
	y := 0
	row := func(n int) screen.Rectangle { r := screen.Rect(0, y, w, n); y += n; return r }
	l.bar = row(1)

	l.Band = screen.BandIn(w, h, 0)
	band := row(l.Facts.H).H

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
	r := row(laneRows)
	l.labels = screen.Rect(1, r.Y, label-1, r.H)
	l.tracks = tracks(r)
	l.axis = tracks(row(1))

	l.panels = panelsIn(row(panelRows))
	l.message = row(1)
	l.keys = row(keyRows)
	return l
}

// panelsIn divides a strip into panels, three where it is wide enough.
func panelsIn(r screen.Rectangle) (panels []screen.Rectangle) {
	n := 2
	if r.W >= 114 {
		n = 3
	}
	for i := range n {
		from, to := i*r.W/n, (i+1)*r.W/n
		panels = append(panels, screen.Rect(from, r.Y, to-from, r.H))
	}
	return panels
}
