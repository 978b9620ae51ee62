package align

import (
	"math"
	"slices"
)

// A candidate is a line that the coarse search proposes, and how far its
// summed correlation stands out.
type candidate struct {
	line
	score float64
}

// sumLines adds the segments' correlations along lines of every lag and clock
// error, a Hough transform, and returns the best lines that differ in lag.
func sumLines(segs []segment, a *features, ratio float64, reach, want int) []candidate {
	middle := float64(a.frames()) / 2
	// One step moves the ends of the track by one frame.
	step := max(1/(middle+1), maxClockError/200)
	half := int(maxClockError/step + 0.5)
	var all []candidate
	for d := -half; d <= half; d++ {
		delta := float64(d) * step
		for _, p := range alongLines(segs, middle, delta, reach, want) {
			// The lag grows by delta frames a frame, and is l at the middle.
			lag := float64(p.lag) - delta*middle
			all = append(all, candidate{line{start: ratio * lag / a.hz, ratio: ratio * (1 + delta)}, p.score})
		}
	}
	return distinct(all, middle/a.hz, want)
}

type peak struct {
	lag   int // at the middle of the track
	score float64
}

// alongLines sums at one clock error and returns the best local peaks.
func alongLines(segs []segment, middle, delta float64, reach, want int) []peak {
	sum := make([]float32, 2*reach+1)
	count := make([]float32, 2*reach+1)
	for _, s := range segs {
		shift := int(math.Round(delta * (s.centre - middle)))
		lo, hi := max(0, -shift), min(len(sum), len(sum)-shift)
		for i := lo; i < hi; i++ {
			sum[i] += s.corr[i+shift]
			if s.inside[i+shift] {
				count[i]++
			}
		}
	}
	least := float32(max(1, min(3, len(segs)/4)))
	for i := range sum {
		// A sum of n noises grows with the root of n; what lies inside at few
		// segments is compared on that footing with what lies inside at all.
		if count[i] < least {
			sum[i] = 0
		} else {
			sum[i] /= float32(math.Sqrt(float64(count[i])))
		}
	}
	return localPeaks(sum, reach, want)
}

// localPeaks returns the largest local maxima of sum.
func localPeaks(sum []float32, reach, want int) []peak {
	var top []peak
	for i := range sum {
		v := sum[i]
		if v <= 0 || (i > 0 && sum[i-1] > v) || (i+1 < len(sum) && sum[i+1] >= v) {
			continue
		}
		if len(top) == want && float64(v) <= top[want-1].score {
			continue
		}
		top = append(top, peak{i - reach, float64(v)})
		slices.SortStableFunc(top, func(a, b peak) int { return cmpDesc(a.score, b.score) })
		top = top[:min(len(top), want)]
	}
	return top
}

// distinct returns the best candidates that lie searchReach apart or more at
// moment t.
func distinct(all []candidate, t float64, want int) []candidate {
	slices.SortStableFunc(all, func(a, b candidate) int { return cmpDesc(a.score, b.score) })
	var out []candidate
	for _, c := range all {
		if !slices.ContainsFunc(out, func(o candidate) bool { return math.Abs(o.at(t)-c.at(t)) < searchReach }) {
			out = append(out, c)
		}
		if len(out) == want {
			break
		}
	}
	return out
}

func cmpDesc(a, b float64) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return 0
}
