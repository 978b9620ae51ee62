package retime

import (
	"strings"
	"testing"
	"time"

	"drylane/show/drift"
)

// TestFewTapsMoveNothing: a position moves on as many taps whether it was asked for or
// found to stand apart.
func TestFewTapsMoveNothing(t *testing.T) {
	t.Parallel()
	late := func(n int) drift.Estimate {
		return drift.Estimate{N: n, Offset: 300 * time.Millisecond, Low: 250 * time.Millisecond, High: 350 * time.Millisecond}
	}
	for _, n := range []int{3, drift.MinTaps - 1, drift.MinTaps} {
		r := drift.Report{Verdict: drift.Verdict{Code: drift.LaneApart, Lane: "Slip"}, Lanes: []drift.Group{{Name: "Slip", Estimate: late(n)}}}
		for _, within := range []Spec{{}, {Position: "Slip"}} {
			specs, err := FromDrift(r, within)
			switch {
			case n < drift.MinTaps && (err == nil || !strings.Contains(err.Error(), "too few taps count")):
				t.Errorf("%d taps, asked for %q: %v, %v", n, within.Position, specs, err)
			case n >= drift.MinTaps && (err != nil || len(specs) != 1 || specs[0].Position != "Slip" || specs[0].Shift != 300*time.Millisecond):
				t.Errorf("%d taps, asked for %q: %v, %v", n, within.Position, specs, err)
			}
		}
	}
}
