package drift

import (
	"fmt"
	"time"

	"drylane/show/timebase"
)

// longPause is the shortest pause between tapped accents that may part two
// sections.
const longPause = 10 * time.Second

// sectionGroups estimates each section that has pairs. Boundaries part the
// show; without any, pairs are parted at their longest pauses.
func (f *fitted) sectionGroups(boundaries []time.Duration) []Group {
	var out []Group
	for _, s := range sections(f.pairs, boundaries) {
		from, to := accentSpan(s)
		e := f.estimate(0, func(p Pair) bool { return len(s) > 0 && p.At >= from && p.At <= to })
		if e.N > 0 {
			name := fmt.Sprintf("%s to %s", timebase.Clock(from.Round(time.Second)), timebase.Clock(to.Round(time.Second)))
			out = append(out, Group{Name: name, From: from, To: to, Estimate: e})
		}
	}
	return out
}

func sections(pairs []Pair, boundaries []time.Duration) [][]Pair {
	if len(boundaries) == 0 {
		return atPauses(pairs)
	}
	out := make([][]Pair, len(boundaries)+1)
	for _, p := range pairs {
		k := 0
		for k < len(boundaries) && p.At >= boundaries[k] {
			k++
		}
		out[k] = append(out[k], p)
	}
	return out
}

// atPauses parts pairs at the longest pause that leaves enough of them on both
// sides for an interval, and each part again.
func atPauses(pairs []Pair) [][]Pair {
	best, at := longPause, -1
	for i := MinTaps; i+MinTaps <= len(pairs); i++ {
		if gap := pairs[i].At - pairs[i-1].At; gap >= best {
			best, at = gap, i
		}
	}
	if at < 0 {
		return [][]Pair{pairs}
	}
	return append(atPauses(pairs[:at]), atPauses(pairs[at:])...)
}
