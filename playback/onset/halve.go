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
// What is left of x there, which is what lies above the half, goes into above.
func halve(x, above []float64) []float64 {
	n := max(0, (len(x)-2*halfBand+1)/2)
	above = above[:n]
	t := &halfBandTaps
	for i := range above {
		a := (*[2*halfBand + 1]float64)(x[2*i:])
		y := 0.5*a[15] + t[0]*(a[14]+a[16]) + t[1]*(a[12]+a[18]) + t[2]*(a[10]+a[20]) + t[3]*(a[8]+a[22]) +
			t[4]*(a[6]+a[24]) + t[5]*(a[4]+a[26]) + t[6]*(a[2]+a[28]) + t[7]*(a[0]+a[30])
		above[i] = a[15] - y
		x[i] = y
	}
	return x[:n]
}
