package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"drylane/playback/folder"
	"drylane/playback/recording"
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

// TestFromHeard: of which positions nothing was heard is taken over with the moves.
func TestFromHeard(t *testing.T) {
	l, err := folder.Open("../../testdata/demo/show")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	name := filepath.Join(t.TempDir(), "heard.json")
	b, err := json.Marshal(heardFigures(l.Show, []recording.Taken{{}}, hear.Report{
		Show:      hear.Estimate{Late: 300 * time.Millisecond, Told: true},
		Positions: []hear.Group{{Name: "Mole", Estimate: hear.Estimate{Told: true}}, {Name: "Beacon"}},
	}))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
	c := retimeCmd{Heard: name}
	specs, err := c.fromHeard(l, retime.Spec{})
	if err != nil || len(specs) != 1 || specs[0].Shift != 300*time.Millisecond || !slices.Equal(c.unheard, []string{"Beacon"}) {
		t.Errorf("%+v, %v, nothing heard of %q", specs, err, c.unheard)
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
