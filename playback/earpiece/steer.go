package earpiece

import "time"

// A steer finds the pace at which a device keeps step with the lead: it leans against
// what is early or late, and learns by how much the clocks run apart, so that nothing
// adds up.
type steer struct {
	drift float64 // share by which the device has been found to run fast
}

const (
	// lean is how much of an error is made up for in a second, and learnt how much of
	// it counts for the drift: the two settle without swinging where learnt is a
	// quarter of lean squared.
	lean   = 0.5
	learnt = lean * lean / 4
	// mostOff is by how much the pace is changed at most: 500 parts in a million are
	// 0.9 cents of pitch, a sixth of what trained ears tell apart (common practice, no
	// source), and six times what clocks of computers part by.
	mostOff = 500e-6
	// quiet is how little is left alone while no drift is known.
	quiet = 50 * time.Microsecond
)

// pace is how many frames of music a frame of the device takes, for a device that was
// early by that much over the last span.
func (s *steer) pace(early, span time.Duration) float64 {
	if s.drift == 0 && early.Abs() < quiet {
		return 1
	}
	s.drift = bounded(s.drift + learnt*early.Seconds()*span.Seconds())
	return 1 - bounded(s.drift+lean*early.Seconds())
}

func bounded(x float64) float64 { return max(-mostOff, min(x, mostOff)) }
