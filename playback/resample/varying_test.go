package resample

import (
	"math"
	"testing"
)

// tone is a stream of a sine on the left and another on the right, without an end.
func tone(left, right float64) func(into [][2]float64, from int64) {
	return func(into [][2]float64, from int64) {
		for i := range into {
			at := 2 * math.Pi * float64(from+int64(i)) / 48000
			into[i] = [2]float64{math.Sin(left * at), math.Sin(right * at)}
		}
	}
}

// TestVaryingFollowsItsPace: at any pace, and while it changes, each frame is what the
// tone is at its place, to 90 dB below it. The place is the sum of the paces.
func TestVaryingFollowsItsPace(t *testing.T) {
	for _, f := range [][2]float64{{100, 1000}, {5000, 12000}, {15000, 18000}} {
		v := NewVarying(tone(f[0], f[1]))
		v.MoveTo(1000, 0.25)
		place, worst := 1000.25, 0.0
		for k := range 200 {
			pace := 1 + 500e-6*math.Sin(float64(k)/9)
			buf := make([][2]float64, 100+k%7)
			v.Read(buf, pace)
			for _, got := range buf {
				for side, hz := range f {
					worst = max(worst, math.Abs(got[side]-math.Sin(2*math.Pi*hz*place/48000)))
				}
				place += pace
			}
		}
		if at, part := v.At(); math.Abs(float64(at)+part-place) > 1e-6 {
			t.Errorf("%v Hz: it is at %d + %f; wanted %f", f, at, part, place)
		}
		if dB(worst) > -90 {
			t.Errorf("%v Hz: %.1f dB off; wanted -90 dB at most", f, dB(worst))
		}
	}
}

// TestVaryingLeavesAlone: on whole frames and at its own pace a stream comes out to
// the bit, from wherever it is taken up, also before its beginning.
func TestVaryingLeavesAlone(t *testing.T) {
	in := noise(3000, 4)
	v := NewVarying(func(into [][2]float64, from int64) {
		for i := range into {
			if k := from + int64(i); k >= 0 && k < int64(len(in)) {
				into[i] = in[k]
			}
		}
	})
	for _, from := range []int64{-10, 0, 1234, 2900} {
		v.MoveTo(from, 0)
		for range 5 {
			buf := make([][2]float64, 37)
			v.Read(buf, 1)
			for i, got := range buf {
				var want [2]float64
				if k := from + int64(i); k >= 0 && k < int64(len(in)) {
					want = in[k]
				}
				if got != want {
					t.Fatalf("frame %d is %v; wanted %v", from+int64(i), got, want)
				}
			}
			from += int64(len(buf))
		}
	}
}

func BenchmarkVarying(b *testing.B) {
	v := NewVarying(tone(1000, 1000))
	v.MoveTo(1000, 0.3)
	buf := make([][2]float64, 480)
	for b.Loop() {
		v.Read(buf, 1+80e-6)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/10e6*100, "%_of_a_core")
}
