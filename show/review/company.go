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
	music := densityOf(r.music, t.taste)
	beside := make([][]float32, len(c.names))
	for k := range c.names {
		beside[k] = make([]float32, len(music))
		others := c.others(k, shift)
		even := make([]float64, len(others))
		for i := range even {
			even[i] = 1
		}
		add(beside[k], others, even, r.music.end(), t.taste)
	}
	like := t.taste
	like.company = c.closest(music, beside, shift)
	for k := range c.names {
		for g, d := range beside[k] {
			beside[k][g] = float32(1-like.company)*music[g] + float32(like.company)*d
		}
		c.trains = append(c.trains, logged(r.music, like, beside[k]))
	}
	return c
}

// closest returns how much of their company the positions keep, of the values that
// are tried: the one that makes their moments likeliest where the list is.
func (c crew) closest(music []float32, beside [][]float32, shift time.Duration) float64 {
	best, most := 0.0, math.Inf(-1)
	for _, company := range companies {
		sum := 0.0
		for k, own := range c.own {
			for _, m := range own {
				g, d := int((m-shift+grid/2)/grid), 0.0
				if m >= shift && g < len(music) {
					d = (1-company)*float64(music[g]) + company*float64(beside[k][g])
				}
				sum += worthOf(d)
			}
		}
		if sum > most {
			best, most = company, sum
		}
	}
	return best
}

// together is 1 at multiples of grid at which another position than k has a moment, else
// 0. Positions that fire together do so where all are in place, and those that take
// turns never do: either tells a beat from the next.
func (c crew) together(k int, shift time.Duration, e *Ear) []float32 {
	out := make([]float32, int(e.music.end()/grid)+2)
	for _, m := range c.others(k, shift) {
		for g := max(0, int((m-oneMoment)/grid)+1); g <= min(len(out)-1, int((m+oneMoment)/grid)); g++ {
			out[g] = 1
		}
	}
	return out
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
