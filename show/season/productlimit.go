// Package season is a crew's book: which drills its people are asked for, who is
// current and who is due, who signed a session off, and how reaction times stand
// when what was missed counts as missed.
package season

import (
	"math"
	"slices"
)

// A Reaction is how long somebody took, or for how long nothing came.
type Reaction struct {
	Seconds float64
	// Missed says that nothing came in that time: the reaction is censored there.
	Missed bool
}

// A Step is a place where the estimate falls.
type Step struct {
	Seconds float64
	// Waiting is the share that has not reacted after it, 0 to 1.
	Waiting float64
}

// ProductLimit estimates the share of calls that go without a reaction after each
// time at which one came: the product over these times of one less the reactions
// there over the calls that were still without one. A miss counts as waiting up to
// its own time, and no longer. Kaplan and Meier 1958; a miss at the time of a
// reaction is taken for the later of the two, as usual.
func ProductLimit(list []Reaction) []Step {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b Reaction) int {
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
	var steps []Step
	waiting := 1.0
	for i := 0; i < len(list); {
		at, came, n := list[i].Seconds, 0, len(list)-i
		for ; i < len(list) && list[i].Seconds == at; i++ {
			if !list[i].Missed {
				came++
			}
		}
		if came > 0 {
			waiting *= 1 - float64(came)/float64(n)
			steps = append(steps, Step{at, waiting})
		}
	}
	return steps
}

// Within is the time in seconds within which a share of the calls, 0 to 1, is reacted
// to: +Inf when so many never were. A share of 0.5 gives the median.
func Within(steps []Step, share float64) float64 {
	const dust = 1e-12 // of the product's rounding
	for _, s := range steps {
		if s.Waiting <= 1-share+dust {
			return s.Seconds
		}
	}
	return math.Inf(1)
}
