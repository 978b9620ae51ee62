package hear

import (
	"math"
	"slices"

	"drylane/show/drift"
)

// slopes are the growths that are tried before anything else, in seconds a second: from
// one to the next the ends of five minutes move by less than shells scatter.
var slopes = []float64{0, 3e-4, -3e-4, 6e-4, -6e-4, 1e-3, -1e-3, 1.4e-3, -1.4e-3, 2e-3, -2e-3}

const (
	// slopeDoubt is the log odds against a growth, with all that are tried.
	slopeDoubt = 8.0
	// slopeSure is how many standard errors a growth must be to be told, and leastMove
	// by how much it must move the cues from the first to the last, in seconds.
	slopeSure = 4.0
	leastMove = 0.06
)

// steep gives the whole show the growth with which its cues fit what was heard best; none
// unless that is clearly better than none.
func (h *hearing) steep(whole *term) {
	var effects []float64
	for _, d := range h.due {
		effects = append(effects, d.effect)
	}
	if len(effects) == 0 {
		return
	}
	h.middle = (slices.Min(effects) + slices.Max(effects)) / 2
	best, most := 0.0, math.Inf(-1)
	for _, slope := range slopes {
		whole.slope = slope
		top := slices.Max(h.curve(whole.own, reach))
		if slope != 0 {
			top -= slopeDoubt
		}
		if top > most {
			best, most = slope, top
		}
	}
	whole.slope = best
}

// grow tells whether the lateness of the cues that were heard grows, what stands apart
// put back in line.
func (h *hearing) grow(whole *term, cues []Cue) Rate {
	extra := map[string]float64{}
	for _, d := range h.due {
		extra[h.show.Cues[d.cue].ID] = h.late(d) - whole.late - whole.slope*(d.effect-h.middle)
	}
	var x, y []float64
	for _, c := range cues {
		if c.State == Heard {
			x, y = append(x, c.EffectAt.Seconds()), append(y, c.Late.Seconds()-extra[c.ID])
		}
	}
	if len(x) < 2*fewest {
		return Rate{}
	}
	slope, low, high := drift.TheilSen(x, y)
	error := (high - low) / (2 * 1.96)
	moved := math.Abs(slope) * (slices.Max(x) - slices.Min(x))
	if math.Abs(slope) > slopeSure*error && moved >= leastMove {
		return Rate{Grows: true, Slope: slope}
	}
	return Rate{}
}
