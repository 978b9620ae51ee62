package onset

import "math"

// halfBand is the reach of the low-pass filter that stands before halving the
// rate, in samples to each side.
const halfBand = 15

// halfBandTaps are the filter's taps at distance 1, 3, 5 ...; that in the middle
// is 0.5 and those at even distances are 0. It is a windowed sinc: 6 dB down at
// a quarter of the rate.
var halfBandTaps = func() (taps [(halfBand + 1) / 2]float64) {
	sum := 0.0
	for i := range taps {
		n := float64(2*i + 1)
		taps[i] = math.Sin(math.Pi*n/2) / (math.Pi * n) * (0.5 + 0.5*math.Cos(math.Pi*n/(halfBand+1)))
		sum += taps[i]
	}
	for i := range taps {
		taps[i] *= 0.25 / sum // so that a constant passes unchanged
	}
	return taps
}()

// halve brings x to half its rate, in place, and returns the shorter slice.
// Its first sample lies at x[halfBand], its last at least as far from the end.
func halve(x []float64) []float64 {
	n := max(0, (len(x)-2*halfBand+1)/2)
	for i := range n {
		at := x[2*i : 2*i+2*halfBand+1]
		y := 0.5 * at[halfBand]
		for k, h := range halfBandTaps {
			y += h * (at[halfBand-1-2*k] + at[halfBand+1+2*k])
		}
		x[i] = y
	}
	return x[:n]
}
