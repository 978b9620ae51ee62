package console

import (
	"cmp"
	"slices"
	"strings"

	"drylane/show"
)

// A laneSet is one way to sort the cues into lanes.
type laneSet struct {
	by    string
	names []string
	group []int   // index into Plan.Groups, -1 for a lane that is no group
	of    []int32 // lane of each cue of the plan
	turn  []int32 // the cue's number in its lane
	cues  []int   // how many cues each has
}

// laneSets makes the three ways to look at a plan, in the order the key goes
// through them: by position first.
func laneSets(p *show.Plan, cues []show.Cue, positions []show.Position) []*laneSet {
	order := map[string]int{}
	for i, pos := range positions {
		order[pos.Name] = i + 1
	}
	families := map[string]int{}
	for f := range show.FamilyCount {
		families[f.String()] = int(f) + 1
	}
	byPosition := newLaneSet(show.LanesByPosition, p, cues, order, func(c show.Cue) string { return c.Position })
	byModule := newLaneSet(show.LanesByModule, p, cues, nil, func(c show.Cue) string { return c.Module })
	byFamily := newLaneSet(show.LanesByFamily, p, cues, families, func(c show.Cue) string { return c.Family.String() })
	return []*laneSet{byPosition, byModule, byFamily}
}

func newLaneSet(by string, p *show.Plan, cues []show.Cue, order map[string]int, name func(show.Cue) string) *laneSet {
	s := &laneSet{by: by, of: make([]int32, len(p.Cues)), turn: make([]int32, len(p.Cues))}
	index := map[string]int{}
	for _, c := range cues {
		if n := name(c); index[n] == 0 {
			index[n] = 1
			s.names = append(s.names, n)
		}
	}
	slices.SortFunc(s.names, func(a, b string) int {
		return cmp.Or(cmp.Compare(order[a], order[b]), compareNatural(a, b))
	})
	for i, n := range s.names {
		index[n] = i
		s.group = append(s.group, p.Group(show.Group{By: by, Name: n}))
	}
	s.cues = make([]int, len(s.names))
	for i, pc := range p.Cues {
		l := index[name(cues[pc.List])]
		s.of[i], s.turn[i] = int32(l), int32(s.cues[l])
		s.cues[l]++
	}
	for i, n := range s.names {
		if n == "" {
			s.names[i] = "(none)"
		}
	}
	return s
}

// compareNatural puts M2 before M10.
func compareNatural(a, b string) int {
	digits := func(s string) (head string, n string) {
		i := strings.IndexAny(s, "0123456789")
		if i < 0 {
			return s, ""
		}
		return s[:i], strings.TrimLeft(s[i:], "0")
	}
	ha, na := digits(a)
	hb, nb := digits(b)
	return cmp.Or(cmp.Compare(ha, hb), cmp.Compare(len(na), len(nb)), cmp.Compare(a, b))
}

// matcher says which cues a filter lets through. An empty filter is nil.
func matcher(filter string, p *show.Plan, cues []show.Cue) []bool {
	if filter == "" {
		return nil
	}
	want := strings.ToLower(filter)
	out := make([]bool, len(p.Cues))
	for i, pc := range p.Cues {
		c := cues[pc.List]
		for _, s := range []string{c.ID, c.Position, c.Module, c.Effect, c.Family.String(), c.Note} {
			if strings.Contains(strings.ToLower(s), want) {
				out[i] = true
				break
			}
		}
	}
	return out
}
