package dsp

import "math"

// Edges shapes the first and last n samples of s with raised-cosine ramps.
// Ramps that would overlap are shortened to half of s.
func Edges(s []float64, n int) {
	n = min(n, len(s)/2)
	for i := range n {
		g := ramp(i, n)
		s[i] *= g
		s[len(s)-1-i] *= g
	}
}

// FadeOut shapes the last n samples of s with a raised-cosine ramp.
func FadeOut(s []float64, n int) {
	n = min(n, len(s))
	for i := range n {
		s[len(s)-1-i] *= ramp(i, n)
	}
}

// Peak returns the largest magnitude in s.
func Peak(s []float64) float64 {
	peak := 0.0
	for _, x := range s {
		peak = max(peak, math.Abs(x))
	}
	return peak
}

// RMS returns the root of the mean square of s, which is not empty.
func RMS(s []float64) float64 {
	sum := 0.0
	for _, v := range s {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(s)))
}

// Gain is the amplitude ratio of a level in decibels.
func Gain(db float64) float64 { return math.Pow(10, db/20) }

// ramp rises from near 0 at i = 0 to near 1 at i = n-1.
func ramp(i, n int) float64 {
	return 0.5 - 0.5*math.Cos(math.Pi*(float64(i)+0.5)/float64(n))
}
