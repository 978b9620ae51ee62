package truth

import (
	"slices"
	"time"
)

// Window is how far an answer may lie from an onset and still be right, the
// default of mir_eval's onset metric and of MIREX.
const Window = 50 * time.Millisecond

// Merge is how close notes may lie and still be one onset.
const Merge = 30 * time.Millisecond

// Onsets returns the moments at which notes begin, in order. A note within
// Merge of the first one of an onset belongs to it.
func Onsets(notes []Note) []time.Duration {
	var at []time.Duration
	for _, n := range notes {
		at = append(at, n.At)
	}
	slices.Sort(at)
	out := at[:0]
	for _, t := range at {
		if len(out) == 0 || t-out[len(out)-1] > Merge {
			out = append(out, t)
		}
	}
	return out
}

// A Score counts a detector's answers against the truth.
type Score struct{ Hits, Found, True int }

// Match pairs answers and onsets one to one, as many as can be, each pair at
// most window apart. Both must be in order.
func Match(onsets, found []time.Duration, window time.Duration) Score {
	s := Score{Found: len(found), True: len(onsets)}
	// On a line, pairing the earliest that fit leaves the most for the rest.
	for i, j := 0, 0; i < len(onsets) && j < len(found); {
		switch d := found[j] - onsets[i]; {
		case d > window:
			i++
		case d < -window:
			j++
		default:
			s.Hits++
			i++
			j++
		}
	}
	return s
}

// Precision is the part of the answers that are right, Recall the part of the
// onsets that were found; 0 where there are none.
func (s Score) Precision() float64 { return part(s.Hits, s.Found) }

// Recall is the part of the onsets that were found.
func (s Score) Recall() float64 { return part(s.Hits, s.True) }

// F is the F-measure: the harmonic mean of precision and recall, 0 where
// nothing is right.
func (s Score) F() float64 { return part(2*s.Hits, s.Found+s.True) }

func part(a, b int) float64 {
	if b == 0 {
		return 0
	}
	return float64(a) / float64(b)
}
