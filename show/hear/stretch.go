package hear

import (
	"fmt"
	"slices"
	"time"

	"drylane/show/review"
	"drylane/show/timebase"
)

// stretches estimates the show part by part, parted at its pauses. What grows is told as
// such, and no part of it then.
func (h *hearing) stretches(rep *Report) {
	var moments []time.Duration
	for _, d := range h.due {
		moments = append(moments, h.show.Cues[d.cue].EffectAt)
	}
	slices.Sort(moments)
	bounds := review.Cut(moments)
	for k := 0; k+1 < len(bounds); k++ {
		from, to := moments[bounds[k]], moments[bounds[k+1]-1]
		own := func(d due) bool {
			at := h.show.Cues[d.cue].EffectAt
			return at >= from && at <= to
		}
		g := Group{Name: fmt.Sprintf("%s to %s", clock(from), clock(to)), From: from, To: to}
		t := &term{own: own, curve: h.curve(own, partReach)}
		_, apart := t.apart()
		base, prior := h.terms[0].late, partPrior
		if apart {
			shift := t.curve.best(0, partPrior)
			base += shift
			t.late = shift
			h.terms = append(h.terms, t)
			prior = func(d float64) float64 { return partPrior(d + shift) }
		}
		g.Estimate = h.estimate(own, base, h.curve(own, halfReach), prior)
		if apart {
			h.terms = h.terms[:len(h.terms)-1]
		}
		g.Apart = apart && g.Told && len(bounds) > 2 && !rep.Rate.Grows
		rep.Stretches = append(rep.Stretches, g)
	}
}

// clock writes a moment to the second.
func clock(d time.Duration) string { return timebase.Clock(d.Round(time.Second)) }
