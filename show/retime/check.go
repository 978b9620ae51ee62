package retime

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// check holds the moved cues, which stand in the order of s.Cues, against the
// music and against the order in which each module fired before.
func check(s *show.Show, moved []show.Cue, length time.Duration) show.Problems {
	var out show.Problems
	for i, c := range moved {
		if before := s.Cues[i]; c.EffectAt != before.EffectAt {
			if p, ok := outside(c, before, length); ok {
				p.File, p.Line = s.CuesFile, c.Line
				out = append(out, p)
			}
		}
	}
	out = append(out, swapped(s, moved)...)
	slices.SortStableFunc(out, func(a, b show.Problem) int { return cmp.Compare(a.Line, b.Line) })
	return out
}

// outside notes a cue that the move takes out of the music.
func outside(c, before show.Cue, length time.Duration) (p show.Problem, ok bool) {
	moves := fmt.Sprintf("cue %s moved from %s to %s", show.Quote(c.ID), timebase.ClockMillis(before.EffectAt), timebase.ClockMillis(c.EffectAt))
	p = show.Problem{Severity: show.SeverityStop, Code: show.CodeLate, Found: moves}
	switch at := c.IgniteAt(); {
	case at < 0:
		p.Code = show.CodeEarly
		p.Found += ", so that it ignites " + timebase.ClockMillis(-at) + " before the music"
		p.Wanted = "every ignition after the start of the music"
	case at > length || c.EffectAt > show.MaxTime:
		p.Found += ", so that it ignites at " + timebase.ClockMillis(at)
		p.Wanted = "every ignition before the music ends at " + timebase.ClockMillis(length)
	case c.EffectAt > length && before.EffectAt <= length:
		p.Severity = show.SeverityWarn
		p.Wanted = "the effect before the music ends at " + timebase.ClockMillis(length)
	default:
		return p, false
	}
	return p, true
}

// swapped notes cues of one module that would fire in another order than they do
// now: somebody wired and numbered them in that order. Cues that fire together
// have no order.
func swapped(s *show.Show, moved []show.Cue) show.Problems {
	byModule := map[string][]int{}
	for _, i := range firingOrder(s.Cues) {
		if m := s.Cues[i].Module; m != "" {
			byModule[m] = append(byModule[m], i)
		}
	}
	var out show.Problems
	for _, order := range byModule {
		last, seen := -1, 0 // of the cues that fired before i, the one that ignites last now
		for _, i := range order {
			for ; s.Cues[order[seen]].IgniteAt() < s.Cues[i].IgniteAt(); seen++ {
				if k := order[seen]; last < 0 || moved[k].IgniteAt() > moved[last].IgniteAt() {
					last = k
				}
			}
			if last >= 0 && moved[i].IgniteAt() < moved[last].IgniteAt() {
				out = append(out, swap(s.CuesFile, moved[i], moved[last]))
			}
		}
	}
	return out
}

// swap is the problem of c, which followed before on its module.
func swap(file string, c, before show.Cue) show.Problem {
	return show.Problem{
		Severity: show.SeverityStop, Code: show.CodeModule, File: file, Line: c.Line,
		Found: fmt.Sprintf("cue %s at %s, before cue %s (line %d) at %s, which it follows on module %s now", show.Quote(c.ID),
			timebase.ClockMillis(c.IgniteAt()), show.Quote(before.ID), before.Line, timebase.ClockMillis(before.IgniteAt()), show.Quote(c.Module)),
		Wanted: "the cues of a module in the order they have",
	}
}

func firingOrder(cues []show.Cue) []int {
	order := make([]int, len(cues))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(cues[a].IgniteAt(), cues[b].IgniteAt()), cmp.Compare(cues[a].Line, cues[b].Line))
	})
	return order
}
