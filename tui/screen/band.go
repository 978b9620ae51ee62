package screen

// A Band is the strip under a screen's bar: a large clock, and facts beside it.
type Band struct {
	Clock Rectangle
	Digit int // width of the clock's digits
	Facts Rectangle
}

// BandIn lays out the band of a window of w by h cells. Beside the clock there
// are as many lines for facts as the clock is high, but no fewer than facts.
func BandIn(w, h, facts int) Band {
	tall, digit := 5, 6
	switch {
	case w < 100:
		digit = 5
	case w >= 150 && h >= 44:
		tall, digit = 7, 9
	}
	cw := clockWidth("00:00.0", digit) + 2
	return Band{Clock: Rect(1, 1, cw, tall), Digit: digit, Facts: Rect(cw+2, 1, w-cw-3, max(tall, facts))}
}
