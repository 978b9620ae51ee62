package loudness

import "math"

// A biquad is one second-order filter section with a0 = 1.
type biquad struct{ b0, b1, b2, a1, a2 float64 }

// The analogue prototype behind the 48 kHz coefficient tables of ITU-R
// BS.1770 Annex 1: a high shelf (the head) and a high-pass (the RLB curve).
const (
	shelfHz    = 1681.974450955533
	shelfQ     = 0.7071752369554196
	shelfDB    = 3.999843853973347
	shelfBend  = 0.4996667741545416
	passHz     = 38.13547087602444
	passQ      = 0.5003270373238773
	tablesRate = 48000
)

// kWeighting returns the two sections of the K-weighting filter at the given
// rate: the tables' own numbers at 48 kHz, and at every other rate the same
// analogue prototype through the bilinear transform.
func kWeighting(rate int) (shelf, pass biquad) {
	k := math.Tan(math.Pi * shelfHz / float64(rate))
	high := math.Pow(10, shelfDB/20)
	mid := math.Pow(high, shelfBend) * k / shelfQ
	a0 := 1 + k/shelfQ + k*k
	shelf = biquad{
		b0: (high + mid + k*k) / a0,
		b1: 2 * (k*k - high) / a0,
		b2: (high - mid + k*k) / a0,
		a1: 2 * (k*k - 1) / a0,
		a2: (1 - k/shelfQ + k*k) / a0,
	}

	k, a0 = passTerms(rate)
	// The tables give the high-pass a numerator of exactly 1, -2, 1, which
	// lifts the band above it by a0, 0.04 dB at 48 kHz. That lift is part of
	// the -0.691 calibration, so every rate gets the lift of 48 kHz.
	_, lift := passTerms(tablesRate)
	pass = biquad{
		b0: lift / a0,
		b1: -2 * lift / a0,
		b2: lift / a0,
		a1: 2 * (k*k - 1) / a0,
		a2: (1 - k/passQ + k*k) / a0,
	}
	return shelf, pass
}

// passTerms returns the bilinear transform's warped frequency for the
// high-pass and the a0 of its unscaled denominator.
func passTerms(rate int) (k, a0 float64) {
	k = math.Tan(math.Pi * passHz / float64(rate))
	return k, 1 + k/passQ + k*k
}
