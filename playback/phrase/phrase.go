package phrase

import (
	"slices"

	"drylane/show/timebase"
)

// A Change is a beat at which the music changes.
type Change struct {
	At  timebase.Frame
	New float64 // how much, from 0 to about 1
}

// Peaks of novelty are changes when none near them is higher, and when they stand out from
// the piece's own.
const (
	around   = 16  // beats
	ends     = 8   // beats of the beginning and the end, where there is too little to tell by
	least    = 0.1 // of novelty
	standsBy = 0.5 // standard deviations
)

// Changes are where the music changes, in order of time; beats are the frames of its beats
// in order. Without beats there are none.
func (l *Listener) Changes(beats []timebase.Frame) []Change {
	if len(l.columns) == 0 || len(beats) < 2*reach {
		return nil
	}
	nov := novelty(l.beats(beats))
	mean, spread := moments(nov)
	var list []Change
	for i := ends; i < len(nov)-ends; i++ {
		x := nov[i]
		most := slices.Max(nov[max(0, i-around):min(len(nov), i+around+1)])
		if x == most && x > mean+standsBy*spread && x > least {
			list = append(list, Change{beats[i], x})
		}
	}
	return list
}
