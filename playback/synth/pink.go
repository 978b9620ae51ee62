package synth

import (
	"math"

	"drylane/playback/internal/dsp"
)

// Pink noise carries the same power in every octave: its density falls by 3 dB
// an octave. It is white noise through a ladder of poles and zeros that take
// turns, each half a rung above the last; a filter of one pole falls 6 dB an
// octave, so a pole that is on half of the way falls 3.
const (
	pinkLowest = 8.0 // Hz, the first pole
	pinkRung   = 4.0 // ratio between poles: two octaves
)

// PinkNoise returns n frames of pink noise at NoiseLevel, within half a decibel
// of 3 dB an octave from 20 Hz to a quarter of the rate. Its first and last 5 ms
// are raised-cosine ramps. The same seed gives the same noise.
func PinkNoise(seed uint64, rate, n int) []float64 {
	s := make([]float64, max(0, n))
	rand := dsp.Rand(seed)
	for i := range s {
		s[i] = rand.Bipolar()
	}
	for pole := pinkLowest; pole < float64(rate)/2; pole *= pinkRung {
		slope(s, pole, pole*math.Sqrt(pinkRung), rate)
	}
	level(s, dsp.Gain(NoiseLevel)/math.Sqrt2)
	dsp.Edges(s, frames(edge, rate))
	return s
}

// slope filters s with one pole and one zero at the given frequencies.
func slope(s []float64, pole, zero float64, rate int) {
	p := math.Exp(-2 * math.Pi * pole / float64(rate))
	z := math.Exp(-2 * math.Pi * zero / float64(rate))
	x1, y1 := 0.0, 0.0
	for i, x := range s {
		y1 = x - z*x1 + p*y1
		x1 = x
		s[i] = y1
	}
}

// level brings the root mean square of s to rms.
func level(s []float64, rms float64) {
	sum := 0.0
	for _, x := range s {
		sum += x * x
	}
	if sum == 0 {
		return
	}
	gain := rms / math.Sqrt(sum/float64(len(s)))
	for i := range s {
		s[i] *= gain
	}
}
