package field

import (
	"time"

	"drylane/show/drift"
)

// Limits of sound against picture from ITU-R BT.1359-1 (1998), sound early and
// sound late. They were found with speech on a screen and are bounds here, not
// data on fireworks.
const (
	DetectEarly = drift.NoticedLate  // 45 ms: a cue that is late
	DetectLate  = drift.NoticedEarly // 125 ms: a cue that is early
	AcceptEarly = 90 * time.Millisecond
	AcceptLate  = 185 * time.Millisecond
)

// A Grade says what people make of sound that does not come with its picture.
type Grade uint8

// The grades, from the best.
const (
	Unnoticed  Grade = iota // within the detectability thresholds
	Noticed                 // past them, and within the acceptability thresholds
	Disturbing              // past both
)

// String words the grade for a person.
func (g Grade) String() string {
	switch g {
	case Unnoticed:
		return "not noticed"
	case Noticed:
		return "noticed, accepted"
	}
	return "noticed, not accepted"
}

// Graded returns the grade of sound that comes late after its picture;
// negative is early. The limits themselves still count as within.
func Graded(late time.Duration) Grade {
	switch {
	case -DetectEarly <= late && late <= DetectLate:
		return Unnoticed
	case -AcceptEarly <= late && late <= AcceptLate:
		return Noticed
	}
	return Disturbing
}
