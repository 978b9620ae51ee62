package tui

// A checkLayout says where everything stands in the sound check.
type checkLayout struct {
	tooSmall bool
	bar      rect
	clock    rect
	digit    int // width of a clock digit
	facts    rect
	meters   rect // heading, both sides, scale
	tall     int  // rows of a meter
	list     rect
	words    rect // what to listen for
	ears     rect
	message  rect
	keys     rect
}

// arrangeCheck lays out a window.
func arrangeCheck(w, h int) checkLayout {
	if w < minWidth || h < minHeight {
		return checkLayout{tooSmall: true}
	}
	var l checkLayout
	y := 0
	row := func(n int) rect { r := rect{0, y, w, n}; y += n; return r }
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
	cw := clockWidth("00:00.0", digit) + 2
	l.clock = rect{1, r.y, cw, band}
	l.facts = rect{cw + 2, r.y, w - cw - 3, band}
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
	l.list = rect{0, r.y, half, r.h}
	l.words = rect{half, r.y, w - half, r.h}
	l.ears, l.message, l.keys = row(1), row(1), row(keyRows)
	return l
}
