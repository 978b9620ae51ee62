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
		return "joins the lead: " + s.Name + " on " + s.Output
	}
	return withinWords(s.Early.Abs()+s.Bound) + " of the lead: " + s.Name + " on " + s.Output
}

// news is what of a status is worth a line of a log when it changes.
func (s *Status) news() any {
	return [...]any{s.Lost != "", s.Broken != "", s.Plays && s.Measured, s.Again}
}

// Alarming reports whether nothing is heard that should be.
func (s *Status) Alarming() bool { return s != nil && (s.Lost != "" || s.Broken != "") }

// withinWords is how far the device is from the lead at most, to a tenth of a
// millisecond and rounded up.
func withinWords(off time.Duration) string {
	return fmt.Sprintf("within %.1f ms", max(0.1, math.Ceil(off.Seconds()*1e4)/10))
}
