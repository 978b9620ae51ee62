package hear

import (
	"math"
	"slices"
)

// A term is a part of the model: cues that are late by so much besides what other terms
// say of them.
type term struct {
	kind  termKind
	name  string
	own   func(due) bool
	late  float64
	slope float64 // a second of music, about the middle of the show
	curve curve   // about late
}

type termKind uint8

const (
	ofShow termKind = iota
	ofPosition
	ofSize
)

// late is how late the model has a cue.
func (h *hearing) late(d due) float64 {
	sum := 0.0
	for _, t := range h.terms {
		if t.own(d) {
			sum += t.late + t.slope*(d.effect-h.middle)
		}
	}
	return sum
}

// What a part may be off by, before anything is heard: most are where the rest is, but
// for what is not known of the field.
const (
	apartChance = 0.2
	inPlace     = 0.035 // a standard deviation, s
	apartScale  = 0.35  // of what is off, s: small shifts are likelier
	leastApart  = 0.06
	// sure is the chance from which something is told.
	sure = 0.97
	// onePlace is how far about the likeliest shift others count as the same, clearly the
	// chance that they must have together.
	onePlace = 0.08
	clearly  = 0.8
)

// partPrior is the log of the density of a part's being off by d.
func partPrior(d float64) float64 {
	z := d / inPlace
	return math.Log((1-apartChance)*math.Exp(-z*z/2)/(inPlace*math.Sqrt(2*math.Pi)) + apartChance*math.Exp(-math.Abs(d)/apartScale)/(2*apartScale))
}

// showPrior is that of the show's being late by d: small shifts are likelier, gently.
func showPrior(d float64) float64 { return -math.Abs(d) / 0.7 }

// refit betters the lateness of all terms in turn.
func (h *hearing) refit() {
	for range 2 {
		for _, t := range h.terms {
			h.spread()
			h.ground()
			within, prior := partReach, partPrior
			switch {
			case t.kind == ofShow && t.curve == nil:
				within, prior = reach, showPrior
			case t.kind == ofShow:
				within, prior = halfReach, showPrior
			}
			t.curve = h.curve(t.own, within)
			t.late += t.curve.best(t.late, prior)
		}
	}
	h.spread()
	h.ground()
}

// best is the likeliest shift of a curve about base.
func (c curve) best(base float64, prior func(float64) float64) float64 {
	p := c.posterior(base, prior)
	top := 0
	for i := range p {
		if p[i] > p[top] {
			top = i
		}
	}
	// The mean about the top: steps are coarse.
	sum, all := 0.0, 0.0
	for i := max(0, top-12); i <= min(len(p)-1, top+12); i++ {
		sum, all = sum+p[i]*c.shift(i), all+p[i]
	}
	return sum / all
}

// posterior is the chance of each shift of a curve about base.
func (c curve) posterior(base float64, prior func(float64) float64) []float64 {
	out := make([]float64, len(c))
	top := math.Inf(-1)
	for i, v := range c {
		out[i] = v + prior(base+c.shift(i))
		top = max(top, out[i])
	}
	all := 0.0
	for i, v := range out {
		out[i] = math.Exp(v - top)
		all += out[i]
	}
	for i := range out {
		out[i] /= all
	}
	return out
}

// candidates are what may stand apart.
func (h *hearing) candidates() []*term {
	var out []*term
	for _, p := range h.show.Positions {
		out = append(out, &term{kind: ofPosition, name: p.Name, own: h.at(p.Name)})
	}
	for _, mm := range h.sizes() {
		out = append(out, &term{kind: ofSize, name: sizeName(mm), own: h.shells(mm)})
	}
	return out
}

// sizes are those of the shells that ought to be heard.
func (h *hearing) sizes() []float64 {
	var out []float64
	for _, d := range h.due {
		if d.shell {
			out = append(out, h.show.Cues[d.cue].Caliber)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// setApart takes into the model, one after the other, what most clearly stands apart.
func (h *hearing) setApart() {
	open := h.candidates()
	for {
		best, most := -1, 0.0
		for i, t := range open {
			t.curve = h.curve(t.own, partReach)
			if gain, ok := t.apart(); ok && gain > most {
				best, most = i, gain
			}
		}
		if best < 0 {
			return
		}
		t := open[best]
		t.late = t.curve.best(0, partPrior)
		h.terms = append(h.terms, t)
		open = slices.Delete(open, best, best+1)
		h.refit()
	}
}

// apart reports whether what was tried stands apart from the rest for sure, and how much
// likelier the bangs are then.
func (t *term) apart() (gain float64, ok bool) {
	p := t.curve.posterior(0, partPrior)
	home, top := 0.0, 0
	for i, v := range p {
		if math.Abs(t.curve.shift(i)) < leastApart {
			home += v
		}
		if v > p[top] {
			top = i
		}
	}
	near := 0.0
	for i := range p {
		if math.Abs(t.curve.shift(i)-t.curve.shift(top)) <= onePlace {
			near += p[i]
		}
	}
	return t.curve[top] - t.curve[len(t.curve)/2], home < 1-sure && near >= clearly
}
