package window

import (
	"math"
	"testing"
)

// TestBesselI0 compares with values from memory; Abramowitz and Stegun, table
// 9.8, has them as e^-x I0(x).
func TestBesselI0(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{
		{0, 1}, {1, 1.2660658777520084}, {5, 27.239871823604442}, {10, 2815.716628466254},
	} {
		if got := BesselI0(c.x); math.Abs(got-c.want) > 1e-14*c.want {
			t.Errorf("I0(%v) = %v, want %v", c.x, got, c.want)
		}
	}
}

// TestKaiserAndSincAtKnownPlaces: 1 in the middle, 0 outside, and the zeros of
// the sinc at the whole numbers.
func TestKaiserAndSincAtKnownPlaces(t *testing.T) {
	if Kaiser(0, 7) != 1 || Kaiser(1, 7) != 0 || Kaiser(-2, 7) != 0 || Sinc(0) != 1 {
		t.Error("the middle or the outside is wrong")
	}
	for n := 1; n < 9; n++ {
		if s := Sinc(float64(n)); math.Abs(s) > 1e-16 {
			t.Errorf("sinc(%d) = %g", n, s)
		}
	}
	// 2/pi, from the definition.
	if s := Sinc(0.5); math.Abs(s-2/math.Pi) > 1e-15 {
		t.Errorf("sinc(1/2) = %g", s)
	}
}
