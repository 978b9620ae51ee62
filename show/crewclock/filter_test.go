package crewclock

import (
	"testing"
	"time"
)

// away is a sample with that offset, each way as long, sent at a moment.
func away(sent, offset, out, back time.Duration) Sample {
	got := sent + out + offset
	return Sample{Sent: sent, Got: got, Left: got, Came: sent + out + back}
}

// near compares to the nanosecond that a division may cost.
func near(t *testing.T, what string, got, want time.Duration) {
	t.Helper()
	if (got - want).Abs() > 1 {
		t.Errorf("%s: %v; wanted %v", what, got, want)
	}
}

// TestFilter is worked by hand from section 10 of RFC 5905, with PHI = 15 ppm.
func TestFilter(t *testing.T) {
	f := NewFilter(15)
	f.Add(away(0, time.Second, 25*ms, 25*ms))
	near(t, "offset of one", f.Offset(), time.Second)
	near(t, "delay of one", f.Delay(), 50*ms)
	// 2 us to read two clocks and 15 ppm of 50 ms, halved; seven empty stages of
	// 16 s: 16 s * (1/4 + ... + 1/256) = 7.9375 s.
	near(t, "dispersion of one", f.Dispersion(), 7937500*time.Microsecond+1375)
	near(t, "jitter of one", f.Jitter(), 0)

	// A quicker sample with another offset takes its place, a slower one does not.
	f.Add(away(time.Second, 1003*ms, 10*ms, 10*ms))
	f.Add(away(2*time.Second, 1040*ms, 90*ms, 90*ms))
	near(t, "offset of three", f.Offset(), 1003*ms)
	near(t, "delay of three", f.Delay(), 20*ms)
	// sqrt((3^2 + 37^2) / 2) ms = sqrt(689) ms = 26.248809 ms
	near(t, "jitter of three", f.Jitter(), 26248809)
}

// TestFilterFull: eight samples without delay, a second apart, age by 15 us each: the
// sum of (2 + 15 i) / 2^(i+1) us for i from 0 to 7 is (2*255 + 15*247)/256 us.
func TestFilterFull(t *testing.T) {
	f := NewFilter(15)
	for i := range 8 {
		f.Add(away(time.Duration(i)*time.Second, 0, 0, 0))
	}
	near(t, "dispersion", f.Dispersion(), 16464) // ns, of 4215/256 us
}

// TestFilterForgets: the ninth sample pushes the first out, however good it was.
func TestFilterForgets(t *testing.T) {
	f := NewFilter(15)
	f.Add(away(0, 7*ms, ms, ms))
	for i := range 7 {
		f.Add(away(time.Duration(i+1)*time.Second, 9*ms, 5*ms, 5*ms))
	}
	near(t, "offset with the first", f.Offset(), 7*ms)
	f.Add(away(8*time.Second, 9*ms, 5*ms, 5*ms))
	near(t, "offset without it", f.Offset(), 9*ms)
}
