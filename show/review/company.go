package review

import (
	"math"
	"slices"
	"time"

	"drylane/show"
)

// A crew is the positions of a list, each with its moments, and what the music
// is worth to each of them: where others have cues, so may it.
type crew struct {
	names  []string
	own    [][]time.Duration
	trains []*train
}

// newCrew takes the positions apart. t is the music as the whole list sees it,
// shift what the list is late by.
func (r *review) newCrew(t *train, shift time.Duration) crew {
	var c crew
	for _, cue := range r.cues {
		c.names = append(c.names, cue.Position)
	}
	slices.Sort(c.names)
	c.names = slices.Compact(c.names)
	for _, name := range c.names {
		c.own = append(c.own, r.moments(func(cue show.Cue) bool { return cue.Position == name }))
	}
	best := math.Inf(-1)
	others := make([][]time.Duration, len(c.names))
	for k := range c.names {
		others[k] = c.others(k, shift)
	}
	for _, company := range companies {
		like := t.taste
		like.company = company
		worth, trains := 0.0, make([]*train, len(c.names))
		for k, own := range c.own {
			trains[k] = newTrain(r.music, like, others[k])
			worth += trains[k].sum(own, shift)
		}
		if worth > best {
			best, c.trains = worth, trains
		}
	}
	return c
}

// others are the moments of all positions but one, in the music.
func (c crew) others(but int, shift time.Duration) []time.Duration {
	var out []time.Duration
	for k, own := range c.own {
		for _, m := range own {
			if k != but && m >= shift {
				out = append(out, m-shift)
			}
		}
	}
	slices.Sort(out)
	return merged(out)
}
