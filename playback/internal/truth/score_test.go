package truth

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func times(s ...float64) []time.Duration {
	var out []time.Duration
	for _, v := range s {
		out = append(out, time.Duration(v*1000)*time.Millisecond)
	}
	return out
}

// The figures were worked out by hand from the definition in mir_eval's onset
// metric (window 50 ms, one to one).
func TestMatch(t *testing.T) {
	onsets := times(1, 2, 3, 4)
	for _, c := range []struct {
		found   []time.Duration
		p, r, f float64
	}{
		{times(1.04, 2.06, 2.98, 3.01, 5), 0.4, 0.5, 4.0 / 9},
		{times(1.06, 2.06, 2.98, 3.01, 5), 0.2, 0.25, 2.0 / 9},
		{nil, 0, 0, 0},
	} {
		s := Match(onsets, c.found, Window)
		if s.Precision() != c.p || s.Recall() != c.r || s.F() != c.f {
			t.Errorf("%v: precision %v, recall %v, F %v; want %v, %v, %v", c.found, s.Precision(), s.Recall(), s.F(), c.p, c.r, c.f)
		}
	}
}

// TestMatchIsBest holds the pairing against one that tries all ways.
func TestMatchIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) []time.Duration {
			v := rapid.SliceOfN(rapid.IntRange(0, 300), 0, 7).Draw(t, name)
			slices.Sort(v)
			var out []time.Duration
			for _, x := range v {
				out = append(out, time.Duration(x)*time.Millisecond)
			}
			return out
		}
		a, b := draw("onsets"), draw("found")
		if got, want := Match(a, b, Window).Hits, most(a, b, 0); got != want {
			t.Fatalf("got %d pairs, want %d", got, want)
		}
	})
}

// most tries every pairing of a with those of b that used does not mark.
func most(a, b []time.Duration, used uint) int {
	if len(a) == 0 {
		return 0
	}
	best := most(a[1:], b, used)
	for i, t := range b {
		if used&(1<<i) == 0 && (t-a[0]).Abs() <= Window {
			best = max(best, 1+most(a[1:], b, used|1<<i))
		}
	}
	return best
}

func TestOnsetsMerges(t *testing.T) {
	var notes []Note
	for _, at := range times(1.02, 1, 1.03, 1.031, 2) {
		notes = append(notes, Note{At: at})
	}
	if got, want := Onsets(notes), times(1, 1.031, 2); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
