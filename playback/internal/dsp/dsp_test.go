package dsp

import (
	"math"
	"testing"
)

// The reference values are those of Sebastiano Vigna's public-domain
// splitmix64.c, quoted in many libraries' tests for the seed 1234567.
func TestRandPublishedSequence(t *testing.T) {
	r := Rand(1234567)
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821} {
		if got := r.Uint64(); got != want {
			t.Fatalf("number %d is %d, want %d", i, got, want)
		}
	}
}

func TestBipolarRangeAndSpread(t *testing.T) {
	r := Rand(7)
	const n = 200000
	sum, square := 0.0, 0.0
	for range n {
		x := r.Bipolar()
		if x < -1 || x >= 1 {
			t.Fatalf("%v is outside [-1, 1)", x)
		}
		sum, square = sum+x, square+x*x
	}
	if mean := sum / n; math.Abs(mean) > 0.01 {
		t.Errorf("mean %v, want about 0", mean)
	}
	// The variance of the uniform law on [-1, 1) is 1/3.
	if v := square / n; math.Abs(v-1.0/3) > 0.01 {
		t.Errorf("variance %v, want about 1/3", v)
	}
}

// With quality 1/sqrt 2 both filters are Butterworth: -3.01 dB at the corner
// and 12 dB an octave beyond it (textbook).
func TestBiquadGains(t *testing.T) {
	const rate, q = 48000, math.Sqrt2 / 2
	tests := []struct {
		name        string
		make        func() *Biquad
		hz          float64
		wantDB, tol float64
	}{
		{"low pass, far below", func() *Biquad { return LowPass(1000, q, rate) }, 50, 0, 0.05},
		{"low pass, corner", func() *Biquad { return LowPass(1000, q, rate) }, 1000, -3.01, 0.05},
		{"low pass, two octaves up", func() *Biquad { return LowPass(1000, q, rate) }, 4000, -24.1, 0.5},
		{"high pass, corner", func() *Biquad { return HighPass(1000, q, rate) }, 1000, -3.01, 0.05},
		{"high pass, two octaves down", func() *Biquad { return HighPass(1000, q, rate) }, 250, -24.1, 0.5},
		{"high pass, far above", func() *Biquad { return HighPass(1000, q, rate) }, 15000, 0, 0.05},
		{"band pass, centre", func() *Biquad { return BandPass(1000, 2, rate) }, 1000, 0, 0.05},
	}
	for _, tt := range tests {
		if got := gainDB(tt.make(), tt.hz, rate); math.Abs(got-tt.wantDB) > tt.tol {
			t.Errorf("%s: %.2f dB at %g Hz, want %.2f", tt.name, got, tt.hz, tt.wantDB)
		}
	}
}

// gainDB measures what f does to a sine, after it has settled.
func gainDB(f *Biquad, hz float64, rate int) float64 {
	in, out := 0.0, 0.0
	for i := range 2 * rate {
		x := math.Sin(2 * math.Pi * hz * float64(i) / float64(rate))
		y := f.Next(x)
		if i >= rate {
			in, out = in+x*x, out+y*y
		}
	}
	return 10 * math.Log10(out/in)
}

func TestEdges(t *testing.T) {
	s := []float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
	Edges(s, 4)
	for i := range s {
		if s[i] != s[len(s)-1-i] {
			t.Fatalf("edges differ: %v", s)
		}
	}
	if s[0] > 0.05 || s[4] != 1 {
		t.Errorf("got %v, want a soft start and an untouched middle", s)
	}
	// Raised-cosine ramps are complementary: a ramp and its mirror image
	// add up to one.
	if sum := s[0] + s[3]; math.Abs(sum-1) > 1e-12 {
		t.Errorf("first and last step of the ramp add up to %v, want 1", sum)
	}
	short := []float64{1, 1, 1}
	FadeOut(short, 10)
	if short[0] <= short[1] || short[1] <= short[2] || short[2] > 0.1 {
		t.Errorf("got %v, want a fade over all three", short)
	}
}

func TestGain(t *testing.T) {
	for db, want := range map[float64]float64{0: 1, -20: 0.1, 6.0206: 2} {
		if got := Gain(db); math.Abs(got-want) > 1e-5 {
			t.Errorf("Gain(%v) = %v, want %v", db, got, want)
		}
	}
}

func TestRMS(t *testing.T) {
	if got := RMS([]float64{3, -4, 0, 0}); got != 2.5 {
		t.Errorf("%v, want 2.5", got)
	}
}
