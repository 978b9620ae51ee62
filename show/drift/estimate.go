package drift

import (
	"math"
	"slices"
	"time"
)

// An Estimate is how late the cues of a show, a lane or a section are.
type Estimate struct {
	N int // taps counted: paired, and neither outlier nor unclear
	// Offset is positive when the cues are late; 0 when N is 0.
	Offset time.Duration
	// Low and High bound the offset with a confidence of 95 %, for a person
	// who scatters by up to some 60 ms; at 100 ms it is nearer to 92 %. Below
	// MinTaps the interval leans on what scatter is usual.
	Low, High time.Duration
	// Spread is the scatter of one tap: the median absolute deviation scaled
	// to the standard deviation of a normal distribution.
	Spread time.Duration
}

// MinTaps is the fewest taps that an answer is given for.
const MinTaps = 6

// confidence is the level of every interval that is shown.
const confidence = 0.95

// estimate finds how late the kept pairs are. Extra is what the model holds for
// them beyond its shift, in seconds.
func (f *fitted) estimate(extra float64, keep func(Pair) bool) Estimate {
	var ws []*weighing
	var res, at []float64
	for i, p := range f.pairs {
		if !keep(p) {
			continue
		}
		ws = append(ws, f.weighings[i])
		if p.counts() {
			res = append(res, p.Residual.Seconds())
			at = append(at, p.At.Seconds())
		}
	}
	if len(res) == 0 {
		return Estimate{}
	}
	base := f.shift + f.slope*median(at) + extra
	b := offsetOf(ws, confidence)
	return Estimate{
		N:      len(res),
		Offset: seconds(base + b.centre),
		Low:    seconds(base + b.low),
		High:   seconds(base + b.high),
		Spread: seconds(scaledMAD(res)),
	}
}

// seconds converts to a Duration, to the nearest nanosecond.
func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }

// median returns the middle of x, which it does not change; NaN for none.
func median(x []float64) float64 {
	x = slices.Clone(x)
	slices.Sort(x)
	return middle(x)
}

// middle is median of sorted values.
func middle(x []float64) float64 {
	n := len(x)
	switch {
	case n == 0:
		return math.NaN()
	case n%2 == 1:
		return x[n/2]
	}
	return x[n/2-1] + (x[n/2]-x[n/2-1])/2
}

// madScale makes the median absolute deviation of a normal distribution its
// standard deviation: 1 over the distribution's upper quartile.
const madScale = 1.482602218505602

// scaledMAD is the median absolute deviation from the median, times madScale.
func scaledMAD(x []float64) float64 {
	m := median(x)
	dev := make([]float64, len(x))
	for i, v := range x {
		dev[i] = math.Abs(v - m)
	}
	return madScale * median(dev)
}
