package drift

import (
	"cmp"
	"math"
	"slices"
	"time"
)

const (
	// repeating is the part of a list's accents that must meet another, when the
	// list is moved, for it to fit much the same there.
	repeating = 0.6
	// meeting is how close accents then lie.
	meeting = 30 * time.Millisecond
)

// repeats reports whether accents moved by so many seconds meet each other: a list on
// a beat does by a beat, and by several.
func repeats(as []accent, by float64) bool {
	d, met := seconds(by), 0
	for _, a := range as {
		i, _ := slices.BinarySearchFunc(as, a.at+d-meeting, func(a accent, t time.Duration) int { return cmp.Compare(a.at, t) })
		if i < len(as) && as[i].at <= a.at+d+meeting {
			met++
		}
	}
	return float64(met) >= repeating*float64(len(as))
}

// beats returns the nudges smaller than the estimate's at which the list fits much the
// same because it repeats itself. A dozen taps do not tell one beat from the next:
// strays and salvos weigh more than what differs. Lists are wrong by tenths far more
// often than by beats, so that whatever the taps say for a larger nudge, it is no more
// than one of several.
func beats(as []accent, peaks []peak, e Estimate) []time.Duration {
	var out []time.Duration
	for _, p := range peaks {
		n := toStep(seconds(p.shift))
		by := p.shift - e.Offset.Seconds()
		if p.slope == 0 && n.Abs() < toStep(e.Offset).Abs() && math.Abs(by) > 2*NudgeStep.Seconds() && repeats(as, by) {
			out = append(out, n)
		}
	}
	return out
}
