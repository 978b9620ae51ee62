package show

import (
	"fmt"
	"testing"
	"time"
)

// manyGroups is a list of n cues, each at a position and on a module of its own.
func manyGroups(n int) []Cue {
	cues := make([]Cue, n)
	for i := range cues {
		cues[i] = Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(i) * 10 * time.Millisecond,
			Position: fmt.Sprint("P", i+1), Module: fmt.Sprint("M", i+1)}
	}
	return cues
}

// TestPlanFindsGroups: each group is found where it stands, and no other.
func TestPlanFindsGroups(t *testing.T) {
	const n = maxGroups
	p := NewPlan(manyGroups(n), Console{}, 48000, 48000*200)
	if len(p.Groups) != 2*n+1 { // and one family
		t.Fatalf("%d groups, want %d", len(p.Groups), 2*n+1)
	}
	for i, g := range p.Groups {
		if at := p.Group(g); at != i {
			t.Fatalf("%v is found at %d, stands at %d", g, at, i)
		}
	}
	for _, g := range []Group{{}, {LanesByPosition, "M1"}, {LanesByModule, "P1"}, {LanesByPosition, ""}} {
		if at := p.Group(g); at != -1 {
			t.Errorf("%v is found at %d", g, at)
		}
	}
	for _, i := range []int{0, n / 2, n - 1} {
		g := p.Group(Group{LanesByPosition, fmt.Sprint("P", i+1)})
		if !p.In(i, g) || p.In((i+1)%n, g) {
			t.Errorf("cue %d: wrong group", i)
		}
	}
}

// BenchmarkPlan lays out lists of which every cue has groups of its own: the cost
// goes with the cues.
func BenchmarkPlan(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000} {
		cues := manyGroups(n)
		b.Run(fmt.Sprint(n, " positions"), func(b *testing.B) {
			for b.Loop() {
				p := NewPlan(cues, Console{}, 48000, 48000*200)
				for _, c := range cues {
					p.Group(Group{LanesByPosition, c.Position})
				}
			}
		})
	}
}
