package tui

// An instructorLayout says where everything stands on the instructor's screen.
type instructorLayout struct {
	tooSmall bool
	bar      rect
	clock    rect
	digit    int // width of a clock digit
	facts    rect
	next     rect // cues to come
	taps     rect
	up       rect // still up; empty in a narrow window
	steps    rect // what befell the run
	events   rect
	menus    rect // what the menus stand in: clock and facts stay in sight
	message  rect
	keys     rect
}

// instructorFacts are the lines beside the clock.
const instructorFacts = 6

// arrangeInstructor lays out a window.
func arrangeInstructor(w, h int) instructorLayout {
	if w < minWidth || h < minHeight {
		return instructorLayout{tooSmall: true}
	}
	var l instructorLayout
	l.bar = rect{0, 0, w, 1}
	band, tall, digit := instructorFacts, 5, 6
	switch {
	case w < 100:
		digit = 5
	case w >= 150 && h >= 44:
		band, tall, digit = 7, 7, 9
	}
	l.digit = digit
	cw := clockWidth("00:00.0", digit) + 2
	l.clock = rect{1, 1, cw, tall}
	l.facts = rect{cw + 2, 1, w - cw - 3, band}

	top := 1 + band
	room := h - top - 2
	upper := room * 2 / 5
	l.message, l.keys = rect{0, h - 2, w, 1}, rect{0, h - 1, w, 1}
	l.menus = rect{0, top, w, h - top}
	n := 2
	if w >= 114 {
		n = 3
	}
	col := func(i int) int { return i * w / n }
	part := func(from, to, y, rows int) rect { return rect{col(from), y, col(to) - col(from), rows} }
	l.next, l.taps = part(0, 1, top, upper), part(1, 2, top, upper)
	if n == 3 {
		l.up = part(2, 3, top, upper)
	}
	l.steps, l.events = part(0, n-1, top+upper, room-upper), part(n-1, n, top+upper, room-upper)
	return l
}
