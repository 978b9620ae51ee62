package retime

import (
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"
)

func TestParseShift(t *testing.T) {
	tests := []struct {
		in   string
		want time.Duration
		err  string
	}{
		{"earlier 0.3", ms(300), ""},
		{"later 1.25", -ms(1250), ""},
		{" later  1:02.5 ", -ms(62_500), ""},
		{"0.3", 0, `found "0.3"; wanted a shift such as "earlier 0.3"`},
		{"sooner 0.3", 0, "wanted a shift such as"},
		{"earlier -0.3", 0, "found \"-0.3\"; wanted seconds"},
		{"earlier 0,3", 0, "with a point, not a comma"},
		{"earlier 0.0001", 0, "wanted at most three decimals"},
		{"earlier 0", 0, "found a shift of nothing"},
		{"earlier 1:00:00.001", 0, "wanted at most 1:00:00.000"},
	}
	for _, tt := range tests {
		got, err := ParseShift(tt.in)
		if got != tt.want || (err == nil) != (tt.err == "") || err != nil && !strings.Contains(err.Error(), tt.err) {
			t.Errorf("ParseShift(%q) = %s, %v; want %s, %q", tt.in, got, err, tt.want, tt.err)
		}
	}
}

func TestRateOf(t *testing.T) {
	if r, err := RateOf(-41.5); r != -41_500 || err != nil {
		t.Errorf("-41.5 ppm is %d, %v", r, err)
	}
	for _, bad := range []float64{100_001, -2e9, nan()} {
		if r, err := RateOf(bad); err == nil {
			t.Errorf("%g ppm was taken as %d", bad, r)
		}
	}
}

func nan() float64 { z := 0.0; return z / z }

// FuzzParseShift: whatever is given, what is read can be said again.
func FuzzParseShift(f *testing.F) {
	for _, s := range []string{"earlier 0.3", "later 1:02.250", "later", "earlier 99999999999", "\u202eearlier 1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseShift(s)
		if err != nil {
			if d != 0 || err.Error() == "" {
				t.Fatalf("%q: %s with error %v", s, d, err)
			}
			return
		}
		word, size := "earlier", d
		if d < 0 {
			word, size = "later", -d
		}
		again, err := ParseShift(word + " " + timebase.ClockMillis(size))
		if err != nil || again != d || d.Abs() > MaxShift {
			t.Fatalf("%q: %s, then %s, %v", s, d, again, err)
		}
	})
}
