package tui

// A rect is a part of the screen in cells.
type rect struct{ x, y, w, h int }

func (r rect) contains(x, y int) bool {
	return x >= r.x && x < r.x+r.w && y >= r.y && y < r.y+r.h
}

// minWidth and minHeight are the smallest window the console can be read in.
const (
	minWidth  = 64
	minHeight = 18
)

// A layout says where everything stands.
type layout struct {
	tooSmall bool
	bar      rect // title and state
	clock    rect
	digit    int // width of a clock digit
	facts    rect
	wave     rect // music; its x and w are those of the tracks below
	labels   rect // lane names
	tracks   rect
	axis     rect
	panels   []rect
	message  rect
	keys     rect
}

// arrange lays out a window for a show with that many lanes.
func arrange(w, h, lanes int) layout {
	if w < minWidth || h < minHeight {
		return layout{tooSmall: true}
	}
	var l layout
	y := 0
	row := func(n int) rect { r := rect{0, y, w, n}; y += n; return r }
	l.bar = row(1)

	band, digit := 5, 6
	if w < 100 {
		digit = 5
	}
	if w >= 150 && h >= 44 {
		band, digit = 7, 9
	}
	l.digit = digit
	cw := clockWidth("00:00.0", digit) + 2
	r := row(band)
	l.clock = rect{1, r.y, cw, band}
	l.facts = rect{cw + 2, r.y, w - cw - 3, band}

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
	tracks := func(r rect) rect { return rect{label + 1, r.y, w - label - 2, r.h} }
	l.wave = tracks(row(waveRows))
	r = row(laneRows)
	l.labels = rect{1, r.y, label - 1, r.h}
	l.tracks = tracks(r)
	l.axis = tracks(row(1))

	n := 2
	if w >= 114 {
		n = 3
	}
	r = row(panelRows)
	for i := range n {
		from, to := i*w/n, (i+1)*w/n
		l.panels = append(l.panels, rect{from, r.y, to - from, r.h})
	}
	l.message = row(1)
	l.keys = row(keyRows)
	return l
}
