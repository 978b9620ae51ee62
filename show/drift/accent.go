package drift

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// oneMoment is how far apart cues may be and still be one accent to a person.
// Taps scatter by several times as much; chases step more slowly.
const oneMoment = 30 * time.Millisecond

// An accent is a moment of the cue list that can be tapped: one cue, or several
// that come together.
type accent struct {
	at     time.Duration // of the first cue
	cues   []int         // indices into the cues given
	lanes  []string      // distinct, in order of name
	weight float64
	// shares is, for each taste, the time in seconds that the accent draws taps
	// from. A lone accent draws from all of its surroundings; accents that
	// stand close divide theirs.
	shares [len(tastes)]float64
}

// tastes are the ways that accents that stand close divide taps, as the power
// of the weight that they draw with: some people tap whatever comes, others
// only what stands out. The taps tell which.
var tastes = [...]float64{2, 8}

// lane returns the accent's lane if it has just one.
func (a accent) lane() (name string, ok bool) {
	if len(a.lanes) != 1 {
		return "", false
	}
	return a.lanes[0], true
}

// takes reports whether the tap may belong to the accent.
func (a accent) takes(t Tap) bool {
	return t.Lane == "" || slices.Contains(a.lanes, t.Lane)
}

// accents groups cues into accents, by time.
func accents(cues []Effect) []accent {
	order := make([]int, len(cues))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(cues[a].At, cues[b].At) })
	var out []accent
	for _, i := range order {
		c := cues[i]
		if n := len(out); n == 0 || c.At-out[n-1].at > oneMoment {
			out = append(out, accent{at: c.At})
		}
		a := &out[len(out)-1]
		a.cues = append(a.cues, i)
		a.weight += weightOf(c)
		if at, found := slices.BinarySearch(a.lanes, c.Lane); !found {
			a.lanes = slices.Insert(a.lanes, at, c.Lane)
		}
	}
	divideTime(out)
	return out
}

// weightOf bounds a weight, so that its powers do not overflow.
func weightOf(c Effect) float64 {
	if !(c.Weight > 0) {
		return 1
	}
	return min(max(c.Weight, 1e-3), 1e3)
}

// surroundings is how far to each side an accent competes with others for a
// tap: people tap up to about one accent a second.
const surroundings = time.Second

// divideTime sets every accent's shares: the surroundings' length times the
// accent's part of the pull in them. People tap at an even pace, not more
// often where there are more cues.
func divideTime(as []accent) {
	pull := make([]float64, len(as))
	for k, power := range tastes {
		for i, a := range as {
			pull[i] = math.Pow(a.weight, power)
		}
		lo, hi := 0, 0
		for i := range as {
			for hi < len(as) && as[hi].at-as[i].at <= surroundings {
				hi++
			}
			for as[i].at-as[lo].at > surroundings {
				lo++
			}
			var sum float64
			for _, p := range pull[lo:hi] {
				sum += p
			}
			as[i].shares[k] = 2 * surroundings.Seconds() * pull[i] / sum
		}
	}
}
