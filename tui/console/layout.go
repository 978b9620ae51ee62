package console

import (
	"drylane/tui/screen"
)

// A layout says where everything stands.
type layout struct {
	bar screen.Rectangle // title and state
	screen.Band
	large   screen.Rectangle   // the state or what it demands, as large as the clock; no width where there is no room
	stroke  int                // width of its strokes
	next    screen.Rectangle   // the next cue's countdown, as large; no width where there is no room
	facts   []screen.Rectangle // by fact
	wave    screen.Rectangle   // music; its x and w are those of the tracks below
	labels  screen.Rectangle   // lane names
	tracks  screen.Rectangle
	axis    screen.Rectangle
	panels  screen.Rectangle // all of them; see panelsIn
	message screen.Rectangle
	keys    screen.Rectangle
}

// The facts, as they are in layout.facts.
const (
	factNext = iota
	factSky
	factNudge
	factSound
	factDrift
	factOutput
	factLog
	factCount
)

// longestDemand is the longest that stands where the state does.
const longestDemand = "NOT CLEAR"

// arrange lays out a window for a show with that many lanes.
func arrange(w, h, lanes int) layout {
	var l layout
	y := 0
	row := func(n int) screen.Rectangle { r := screen.Rect(0, y, w, n); y += n; return r }
	l.bar = row(1)

	l.Band = screen.BandIn(w, h, 0)
	row(l.Facts.H)
	if w >= 80 && h >= 24 {
		l.enlarge(w)
		n := 3
		if w >= 150 && h >= 44 {
			n = 4
		}
		l.grid(row(n))
	} else {
		for i := range min(factCount, l.Facts.H) {
			l.facts = append(l.facts, screen.Rect(l.Facts.X, l.Facts.Y+i, l.Facts.W, 1))
		}
	}
	top := y

	keyRows := 1
	if h >= 30 {
		keyRows = 2
	}
	left := h - top - 1 - 1 - keyRows // without axis, message and keys
	panelRows := max(4, (left-1)/4)
	waveRows := max(1, (left-4)/7)
	laneRows := left - waveRows - panelRows
	// Rows that no lane needs go to the panels, and to the music where there are many.
	if need := max(2, lanes*max(1, min(3, laneRows/max(1, lanes)))); laneRows > need {
		panelRows += laneRows - need
		laneRows = need
	}
	if panelRows > 6 && waveRows < 2 {
		panelRows, waveRows = panelRows-1, waveRows+1
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

	l.panels = row(panelRows)
	l.message = row(1)
	l.keys = row(keyRows)
	return l
}

// enlarge finds room beside the clock for the state, and for the next cue's
// countdown.
func (l *layout) enlarge(w int) {
	x, y, h := l.Clock.X+l.Clock.W, l.Clock.Y, l.Clock.H
	for _, stroke := range []int{3, 2, 1} {
		wide := screen.LargeWidth(longestDemand, stroke)
		if x+wide > w || stroke > 1 && x+wide+screen.TimeWidth("00.0", l.Digit)+14 > w {
			continue
		}
		l.large, l.stroke = screen.Rect(x, y, wide, h), stroke
		break
	}
	x += l.large.W + 3
	if wide := screen.TimeWidth("00.0", l.Digit); x+wide+8 <= w {
		l.next = screen.Rect(x, y, w-x-1, h)
	}
}

// grid puts the facts into two columns, and the drift in a row of its own: what it
// says is a sentence.
func (l *layout) grid(r screen.Rectangle) {
	left := (r.W - 6) / 2
	at := func(row, col int) screen.Rectangle {
		if col == 0 {
			return screen.Rect(r.X+1, r.Y+row, left, 1)
		}
		return screen.Rect(r.X+left+2, r.Y+row, r.W-left-3, 1)
	}
	l.facts = []screen.Rectangle{at(0, 0), at(0, 1), at(1, 0), at(1, 1), screen.Rect(r.X+1, r.Y+2, r.W-2, 1)}
	if r.H > 3 {
		l.facts = append(l.facts, at(3, 0), at(3, 1))
	}
}

// panelsIn divides a strip into panels from the left, each but the first no wider
// than it needs: names of effects get what is left.
func panelsIn(r screen.Rectangle, needs ...int) (panels []screen.Rectangle) {
	to := r.X + r.W
	for i := len(needs) - 1; i >= 0; i-- {
		w := min(needs[i], r.W/(len(needs)+1))
		panels = append([]screen.Rectangle{screen.Rect(to-w, r.Y, w, r.H)}, panels...)
		to -= w
	}
	return append([]screen.Rectangle{screen.Rect(r.X, r.Y, to-r.X, r.H)}, panels...)
}
