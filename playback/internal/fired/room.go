package fired

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// echoes is what a place throws back of a sound: some walls and woods, and a tail.
// The sound itself, at 0, is not in it.
func echoes(r *rand.Rand, level float64) []float64 {
	decay := between(r, 0.08, 0.3) // to 1/e, s
	out := make([]float64, int(1.5*Rate))
	for i := int(0.004 * Rate); i < len(out); i++ {
		t := float64(i) / Rate
		out[i] = 0.012 * level * r.NormFloat64() * math.Exp(-t/decay)
	}
	for range 2 + r.IntN(4) {
		t := between(r, 0.06, 1.2)
		g := level * math.Pow(10, -between(r, 8, 20)/20)
		// A wall is rough: it answers for some milliseconds.
		for range 12 {
			if k := int((t + between(r, 0, 0.006)) * Rate); k < len(out) {
				out[k] += g * 0.4 * (2*r.Float64() - 0.6)
			}
		}
	}
	return out
}

// convolve returns x with what h throws back of it added, as long as x.
func convolve(x, h []float64) []float64 {
	const size = 1 << 16
	step := size - len(h)
	f := fourier.NewFFT(size)
	in := make([]float64, size)
	copy(in, h)
	hh := f.Coefficients(nil, in)
	out := append([]float64(nil), x...)
	var spec []complex128
	for from := 0; from < len(x); from += step {
		clear(in)
		copy(in[:step], x[from:])
		spec = f.Coefficients(spec, in)
		for k := range spec {
			spec[k] *= hh[k]
		}
		f.Sequence(in, spec)
		for i, v := range in {
			if from+i < len(out) {
				out[from+i] += v / size
			}
		}
	}
	return out
}
