package align

import "drylane/playback/internal/robust"

// A line says where the moments of A lie in B, in seconds of each file's own
// clock: A's moment t is B's moment start + ratio*t.
type line struct {
	start, ratio float64
}

func (l line) at(t float64) float64 { return l.start + l.ratio*t }

// plus returns l with a line of residuals (in seconds of B) added.
func (l line) plus(f robust.Fit) line {
	return line{start: l.start + f.Intercept, ratio: l.ratio + f.Slope}
}
