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
		for k, g := range got {
			if math.Abs(g-cmplx.Abs(want[k])) > 1e-9 {
				t.Fatalf("size %d, bin %d: got %v, want %v", size, k, g, cmplx.Abs(want[k]))
			}
		}
	}
}
