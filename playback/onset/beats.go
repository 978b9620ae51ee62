package onset

import (
	"math"
	"slices"

	"drylane/show/timebase"
)

// tightness weighs an even beat against strong onsets (Ellis: alpha), for
// onset strength of a root mean square of 1.
const tightness = 100

// beats returns the beats from the first onset to the last, and the tempo.
func (l layout) beats(strength []float32, accents []Accent, length timebase.Frame) ([]timebase.Frame, float64) {
	if len(accents) < 2 {
		return nil, 0
	}
	rises := l.rises(strength)
	path, step := l.tempoPath(rises)
	period := func(i int) float64 { return path[min(i/step, len(path)-1)] }
	first, last := accents[0].At, accents[len(accents)-1].At
	slack := timebase.Frame(peakReach * float64(l.rate))
	var out []timebase.Frame
	for _, i := range evenBeats(rises, period) {
		if f := l.frame(float64(i), length); f >= first-slack && f <= last+slack {
			out = append(out, f)
		}
	}
	if len(out) < 2 {
		return nil, 0
	}
	gaps := make([]timebase.Frame, len(out)-1)
	for i := range gaps {
		gaps[i] = out[i+1] - out[i]
	}
	slices.Sort(gaps)
	return out, 60 * float64(l.rate) / float64(gaps[len(gaps)/2])
}

// rises is what stands above the mean around it, with a root mean square of 1.
func (l layout) rises(strength []float32) []float64 {
	sums := newSums(strength, 1)
	before := l.values(usual)
	out := make([]float64, len(strength))
	power := 0.0
	for i, v := range strength {
		out[i] = max(0, float64(v)-sums.mean(i-before, i+before+1))
		power += out[i] * out[i]
	}
	if power > 0 {
		scale := math.Sqrt(float64(len(out)) / power)
		for i := range out {
			out[i] *= scale
		}
	}
	return out
}

// evenBeats chooses values that rise strongly and lie a period apart: Ellis's
// dynamic programming.
func evenBeats(rises []float64, period func(int) float64) []int {
	score := make([]float64, len(rises))
	from := make([]int, len(rises))
	end := -1
	for i, v := range rises {
		p := period(i)
		best, at := 0.0, -1
		for j := max(0, i-int(2*p)); j <= i-int(p/2); j++ {
			d := math.Log(float64(i-j) / p)
			if s := score[j] - tightness*d*d; s > best {
				best, at = s, j
			}
		}
		score[i], from[i] = v+best, at
		if end < 0 || score[i] >= score[end] {
			end = i
		}
	}
	var out []int
	for i := end; i >= 0; i = from[i] {
		out = append(out, i)
	}
	slices.Reverse(out)
	return out
}
