package pieces

import (
	"math"
	"slices"

	"drylane/playback/internal/robust"
	"drylane/playback/locate"
)

// width is how far apart blocks on one line may lie, in seconds: another loudspeaker may
// be as loud and some milliseconds later, and is heard now and then.
const width = 0.0005

// rateOf is the rate that puts most blocks on lines, one for each group, in seconds of the
// recording for one of the music. Of all rates that two clocks may have it takes the best,
// and the straight lines through those blocks.
func rateOf(groups [][]sight) float64 {
	const step = 1e-6
	best, most := 1.0, 0
	for k := -locate.MaxPPM; k <= locate.MaxPPM; k++ {
		rate, on := 1+float64(k)*step, 0
		for _, g := range groups {
			on += len(crowd(offsets(g, rate)))
		}
		if on > most || on == most && math.Abs(rate-1) < math.Abs(best-1) {
			best, most = rate, on
		}
	}
	for range 3 {
		best += slope(groups, best)
	}
	return best
}

// slope is how much the blocks on the groups' lines rise above a rate, all together.
func slope(groups [][]sight, rate float64) float64 {
	var sum, squares float64
	for _, g := range groups {
		at := offsets(g, rate)
		on := crowd(at)
		low, high := slices.Min(on), slices.Max(on)
		var x, y []float64
		for i, s := range g {
			if at[i] >= low-width/4 && at[i] <= high+width/4 {
				x, y = append(x, s.at), append(y, at[i])
			}
		}
		mx, my := robust.Mean(x), robust.Mean(y)
		for i := range x {
			sum += (x[i] - mx) * (y[i] - my)
			squares += (x[i] - mx) * (x[i] - mx)
		}
	}
	if squares == 0 {
		return 0
	}
	return sum / squares
}

// offsets are where the music's first frame lies in the recording by each block.
func offsets(g []sight, rate float64) []float64 {
	out := make([]float64, len(g))
	for i, s := range g {
		out[i] = s.heard - rate*s.at
	}
	return out
}

// crowd is the most of the values that lie within width of each other.
func crowd(v []float64) []float64 {
	v = slices.Sorted(slices.Values(v))
	from, to, lo := 0, 0, 0
	for hi := range v {
		for v[hi]-v[lo] > width {
			lo++
		}
		if hi+1-lo > to-from {
			from, to = lo, hi+1
		}
	}
	return v[from:to]
}
