package main

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"drylane/show/hear"
	"drylane/show/retime"
)

// TestHeardSpecs: what was heard becomes moves within what is to move, and nothing wild
// does.
func TestHeardSpecs(t *testing.T) {
	const ms = time.Millisecond
	whole, barge := hear.Change{Earlier: 0.12}, hear.Change{Position: "Barge", Earlier: 0.29}
	for _, c := range []struct {
		name    string
		changes []hear.Change
		within  retime.Spec
		want    []retime.Spec // none: refused
	}{
		{"all of it", []hear.Change{whole, barge}, retime.Spec{}, []retime.Spec{{Shift: 120 * ms}, {Shift: 290 * ms, Position: "Barge"}}},
		{"one position", []hear.Change{whole, barge}, retime.Spec{Position: "Mole"}, []retime.Spec{{Shift: 120 * ms, Position: "Mole"}}},
		{"the one that stands apart", []hear.Change{whole, barge}, retime.Spec{Position: "Barge"}, []retime.Spec{{Shift: 120 * ms, Position: "Barge"}, {Shift: 290 * ms, Position: "Barge"}}},
		{"growing, from a minute on", []hear.Change{{Earlier: 0.1, PPM: 1000}}, retime.Spec{From: time.Minute}, []retime.Spec{{Shift: 160 * ms, Rate: 1_000_000, From: time.Minute}}},
		{"nothing", nil, retime.Spec{}, nil},
		{"nothing of this position", []hear.Change{barge}, retime.Spec{Position: "Mole"}, nil},
		{"too far", []hear.Change{{Earlier: 61}}, retime.Spec{}, nil},
		{"too fast", []hear.Change{{PPM: 200_000}}, retime.Spec{}, nil},
	} {
		got, err := heardSpecs(c.changes, c.within)
		if !slices.Equal(got, c.want) && err == nil || (err == nil) != (c.want != nil) {
			t.Errorf("%s: %+v, %v; want %+v", c.name, got, err, c.want)
		}
	}
}

// FuzzHeardSpecs: whatever a file says, no cue moves by more than a recording can tell.
func FuzzHeardSpecs(f *testing.F) {
	f.Add([]byte(`[{"earlier_s": 0.1}, {"position": "Barge", "earlier_s": -0.25, "rate_ppm": 1000}]`))
	f.Add([]byte(`[{"earlier_s": 1e308}]`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var changes []hear.Change
		if json.Unmarshal(b, &changes) != nil {
			return
		}
		specs, err := heardSpecs(changes, retime.Spec{})
		for _, s := range specs {
			if err == nil && (s.Shift.Abs() > time.Minute || s.Rate > retime.MaxRate || s.Rate < -retime.MaxRate) {
				t.Errorf("%s: %+v", b, s)
			}
		}
	})
}
