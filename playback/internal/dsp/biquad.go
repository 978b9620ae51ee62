// Package dsp holds the few building blocks that the synthesised sounds share.
package dsp

import "math"

// A Biquad is a second-order filter of one channel. Its coefficients follow
// R. Bristow-Johnson's Audio EQ Cookbook (published as a W3C note).
type Biquad struct {
	b0, b1, b2, a1, a2 float64
	x1, x2, y1, y2     float64
}

// LowPass returns a low-pass filter with its corner at hz and quality q.
func LowPass(hz, q float64, rate int) *Biquad {
	cos, alpha := corner(hz, q, rate)
	return normal((1-cos)/2, 1-cos, (1-cos)/2, cos, alpha)
}

// HighPass returns a high-pass filter with its corner at hz and quality q.
func HighPass(hz, q float64, rate int) *Biquad {
	cos, alpha := corner(hz, q, rate)
	return normal((1+cos)/2, -(1 + cos), (1+cos)/2, cos, alpha)
}

// BandPass returns a band-pass filter with unit gain at its centre hz.
func BandPass(hz, q float64, rate int) *Biquad {
	cos, alpha := corner(hz, q, rate)
	return normal(alpha, 0, -alpha, cos, alpha)
}

// Next filters one sample.
func (f *Biquad) Next(x float64) float64 {
	y := f.b0*x + f.b1*f.x1 + f.b2*f.x2 - f.a1*f.y1 - f.a2*f.y2
	f.x2, f.x1 = f.x1, x
	f.y2, f.y1 = f.y1, y
	return y
}

// corner keeps hz below the top of the band, so that a recipe written for a
// high rate still makes a stable filter at a low one.
func corner(hz, q float64, rate int) (cos, alpha float64) {
	hz = min(hz, 0.45*float64(rate))
	w := 2 * math.Pi * hz / float64(rate)
	return math.Cos(w), math.Sin(w) / (2 * q)
}

func normal(b0, b1, b2, cos, alpha float64) *Biquad {
	a0 := 1 + alpha
	return &Biquad{b0: b0 / a0, b1: b1 / a0, b2: b2 / a0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}
