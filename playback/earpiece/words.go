package earpiece

import (
	"fmt"
	"math"
	"time"
)

// Words say in a few words how an earpiece stands. That of nil is none.
func (s *Status) Words() string {
	switch {
	case s == nil:
		return "none here"
	case s.Lost != "":
		return s.Name + ": LOST, no sound device; it comes back by itself"
	case s.Broken != "":
		return s.Name + ": SILENT, the copy cannot be read"
	case !s.Plays:
		return s.Name + " on " + s.Output
	case !s.Measured:
		return s.Name + " on " + s.Output + ", joining"
	}
	return s.Name + " on " + s.Output + ", " + stepWords(s.Early)
}

// Alarming reports whether nothing is heard that should be.
func (s *Status) Alarming() bool { return s != nil && (s.Lost != "" || s.Broken != "") }

// stepWords say how far the device was from the lead, to a tenth of a millisecond and
// rounded up.
func stepWords(early time.Duration) string {
	return fmt.Sprintf("in step to %.1f ms", max(0.1, math.Ceil(early.Abs().Seconds()*1e4)/10))
}
