package season

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Remission of 21 patients in weeks, + for those still in remission when last seen:
// the text books' example, after Freireich et al. 1963 (data from memory; the
// estimates agree with those that R's package survival prints for the data, from
// memory, and were reckoned by hand).
func TestProductLimitAgreesWithTheTextBooks(t *testing.T) {
	var list []Reaction
	for _, weeks := range []float64{6, 6, 6, 7, 10, 13, 16, 22, 23} {
		list = append(list, Reaction{Seconds: weeks})
	}
	for _, weeks := range []float64{6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35} {
		list = append(list, Reaction{Seconds: weeks, Missed: true})
	}
	want := []Step{{6, .857}, {7, .807}, {10, .753}, {13, .690}, {16, .627}, {22, .538}, {23, .448}}
	got := ProductLimit(list)
	if len(got) != len(want) {
		t.Fatalf("%v, want %v", got, want)
	}
	for i, s := range got {
		if s.Seconds != want[i].Seconds || math.Abs(s.Waiting-want[i].Waiting) > 0.0005 {
			t.Errorf("after %v weeks %.4f, want %.3f", s.Seconds, s.Waiting, want[i].Waiting)
		}
	}
	if m := Within(got, 0.5); m != 23 {
		t.Errorf("median %v weeks, want 23", m)
	}
}

// With no miss the estimate is the plain share of those that took longer.
func TestProductLimitWithoutMisses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		times := rapid.SliceOfN(rapid.IntRange(1, 9), 1, 40).Draw(t, "times")
		var list []Reaction
		for _, x := range times {
			list = append(list, Reaction{Seconds: float64(x)})
		}
		for _, s := range ProductLimit(list) {
			longer := 0
			for _, x := range times {
				if float64(x) > s.Seconds {
					longer++
				}
			}
			if want := float64(longer) / float64(len(times)); math.Abs(s.Waiting-want) > 1e-9 {
				t.Errorf("after %v: %.6f, want %.6f", s.Seconds, s.Waiting, want)
			}
		}
	})
}

// A miss never makes anybody look faster than leaving it out would.
func TestAMissNeverFlatters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var came, all []Reaction
		for _, x := range rapid.SliceOfN(rapid.IntRange(1, 9), 1, 20).Draw(t, "came") {
			came = append(came, Reaction{Seconds: float64(x)})
		}
		all = append(all, came...)
		for _, x := range rapid.SliceOfN(rapid.IntRange(1, 9), 1, 20).Draw(t, "missed") {
			all = append(all, Reaction{Seconds: float64(x), Missed: true})
		}
		share := rapid.Float64Range(0.05, 0.95).Draw(t, "share")
		if with, without := Within(ProductLimit(all), share), Within(ProductLimit(came), share); with < without {
			t.Errorf("%.2f of the calls within %v s with the misses, %v s without", share, with, without)
		}
	})
}

func TestNeverReactedTo(t *testing.T) {
	steps := ProductLimit([]Reaction{{Seconds: 2}, {Seconds: 30, Missed: true}, {Seconds: 30, Missed: true}})
	if got := Within(steps, 0.5); !math.IsInf(got, 1) {
		t.Errorf("median %v, want none: two of three were missed", got)
	}
	if got := Within(steps, 0.3); got != 2 {
		t.Errorf("%v, want 2", got)
	}
	if got := ProductLimit(nil); got != nil {
		t.Errorf("%v of nothing", got)
	}
}
