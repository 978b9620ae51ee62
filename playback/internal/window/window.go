// Package window has the pieces that windowed-sinc filters are made of, and Hann's
// window for spectra.
package window

import "math"

// Sinc is sin(pi x)/(pi x), 1 at 0.
func Sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// Kaiser is the Kaiser window at x in -1..+1, 0 outside. beta is its shape.
func Kaiser(x, beta float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	return BesselI0(beta*math.Sqrt(1-x*x)) / BesselI0(beta)
}

// BesselI0 is the modified Bessel function of the first kind, order 0, by its
// power series (Abramowitz and Stegun 9.6.12).
func BesselI0(x float64) float64 {
	q := x * x / 4
	term, sum := 1.0, 1.0
	for k := 1.0; term > sum*1e-18; k++ {
		term *= q / (k * k)
		sum += term
	}
	return sum
}

// Hann is the Hann window of n points, periodic: what follows would begin again at 0, as
// a discrete Fourier transform has it.
func Hann(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
	}
	return w
}
