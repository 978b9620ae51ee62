package dsp

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The transform agrees with that of gonum.
func TestTransform(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 2))
	for _, size := range []int{8, 16, 32, 256, 512, 1024, 2048} {
		x := make([]float64, size)
		for i := range x {
			x[i] = r.NormFloat64()
		}
		want := fourier.NewFFT(size).Coefficients(nil, x)
		got := make([]float64, size/2)
		NewTransform(size).Magnitudes(got, x)
		phased := make([]complex128, size/2)
		NewTransform(size).Spectrum(phased, x)
		for k, g := range got {
			if math.Abs(g-cmplx.Abs(want[k])) > 1e-9 || cmplx.Abs(phased[k]-want[k]) > 1e-9 {
				t.Fatalf("size %d, bin %d: got %v and %v, want %v", size, k, g, phased[k], want[k])
			}
		}
		samples := make([]complex128, size/2)
		for i := range samples {
			samples[i] = complex(x[2*i], x[2*i+1])
		}
		wanted := fourier.NewCmplxFFT(size/2).Coefficients(nil, samples)
		for k, c := range NewTransform(size).Complex(func(to []complex128) { copy(to, samples) }) {
			if cmplx.Abs(c-wanted[k]) > 1e-9 {
				t.Fatalf("size %d, complex bin %d: got %v, want %v", size, k, c, wanted[k])
			}
		}
	}
}
