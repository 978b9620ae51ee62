package timebase

// ParseLabel reads a rate and the label of a frame as they stand in a file or on
// the command line. A label of drop frame makes 29.97 drop frame; a label that the
// rate does not have is an error.
func ParseLabel(rate, label string) (Rate, Timecode, error) {
	t, err := ParseTimecode(label)
	if err != nil {
		return 0, t, err
	}
	r, err := ParseRate(rate)
	if err != nil {
		return 0, t, err
	}
	if r == FPS2997 && t.Drop {
		r = FPS2997Drop
	}
	_, err = r.Index(t)
	return r, t, err
}
