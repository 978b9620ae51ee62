package fitness

import (
	"math"
	"time"
)

// A click sweeps from low to high, so that it is like no other sound and like itself
// at one moment alone: its autocorrelation falls to nothing within 1/(high-low), here
// 0.3 ms.
const (
	clickLength = 20 * time.Millisecond
	clickLow    = 500.0  // Hz
	clickHigh   = 4000.0 // Hz
)

// click is a click of full scale, in frames of rate.
func click(rate int) []float64 {
	n := int(clickLength.Seconds() * float64(rate))
	out := make([]float64, n)
	for i := range out {
		t := float64(i) / float64(rate)
		phase := 2 * math.Pi * (clickLow*t + (clickHigh-clickLow)*t*t/(2*clickLength.Seconds()))
		hann := (1 - math.Cos(2*math.Pi*float64(i)/float64(n))) / 2
		out[i] = hann * math.Sin(phase)
	}
	return out
}

// like is how much a place must be like the click to be it: 1 is the click itself, in
// any polarity and at any level.
const like = 0.5

// find looks for the click in sound, with its first frame from frame from to frame to.
// It returns the frame, in fractions, at which the two are most alike.
func find(sound, click []float64, from, to int) (frame float64, ok bool) {
	from, to = max(0, from), min(to, len(sound)-len(click))
	if from > to {
		return 0, false
	}
	var own, energy float64
	for i, x := range click {
		own += x * x
		energy += sound[from+i] * sound[from+i]
	}
	best, where := 0.0, -1
	values := make([]float64, to-from+1)
	for k := range values {
		at := from + k
		var sum float64
		for i, x := range click {
			sum += x * sound[at+i]
		}
		if energy > 1e-12 {
			values[k] = math.Abs(sum) / math.Sqrt(own*energy)
		}
		if values[k] > best {
			best, where = values[k], k
		}
		if at < to {
			out, in := sound[at], sound[at+len(click)]
			energy = max(0, energy-out*out+in*in)
		}
	}
	if best < like {
		return 0, false
	}
	return float64(from+where) + summit(values, where), true
}

// summit is where, within half a frame of the largest of values, the parabola through
// it and its neighbours is highest.
func summit(values []float64, k int) float64 {
	if k == 0 || k == len(values)-1 {
		return 0
	}
	a, b, c := values[k-1], values[k], values[k+1]
	if d := a - 2*b + c; d < 0 {
		return (a - c) / (2 * d)
	}
	return 0
}
