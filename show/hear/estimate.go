package hear

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// fewest is the least number of cues that a figure is told of.
const fewest = 5

// fit finds the model and fills in the report.
func (h *hearing) fit(rep *Report) {
	whole := &term{kind: ofShow, own: func(due) bool { return true }}
	h.terms = []*term{whole}
	h.steep(whole)
	h.refit()
	h.setApart()
	h.tooMany()
	h.assign(rep)
	rep.Rate, rep.middle = h.grow(whole, rep.Cues), seconds(h.middle)
	rep.Show = h.estimate(h.rest(), whole.late, h.curve(h.rest(), halfReach), showPrior)
	rep.Show.Told = rep.Show.Told && h.curve(h.rest(), reach).clear()
	for _, p := range h.show.Positions {
		rep.Positions = append(rep.Positions, h.group(ofPosition, p.Name, h.at(p.Name)))
	}
	for _, mm := range h.sizes() {
		rep.Sizes = append(rep.Sizes, h.group(ofSize, sizeName(mm), h.shells(mm)))
	}
	h.stretches(rep)
	if rep.Show.Told {
		h.unlisted(rep)
	} else {
		untold(rep) // there is nothing to be late beside
	}
	rep.Verdicts = h.verdicts(rep)
	if on, ok := h.rehearsed(); ok {
		rep.ofRehearsal(on)
	}
}

// untold takes back what is said of parts.
func untold(rep *Report) {
	rep.Rate = Rate{}
	for _, list := range [][]Group{rep.Positions, rep.Sizes, rep.Stretches} {
		for i := range list {
			list[i].Told, list[i].Apart = false, false
		}
	}
}

const (
	// leastLead is how much likelier, as a log, the bangs must be where the whole show is
	// said to be than at any other place, which is further from it than elsewhere seconds:
	// of what is there by chance the best leads the next by so much once in a hundred times.
	leastLead = 5.0
	elsewhere = 0.2
)

// clear reports whether a curve about a shift has its top there, and none like it.
func (c curve) clear() bool {
	here, there := math.Inf(-1), math.Inf(-1)
	for i, v := range c {
		if math.Abs(c.shift(i)) <= elsewhere {
			here = max(here, v)
		} else {
			there = max(there, v)
		}
	}
	return here-there >= leastLead
}

// halfReach is how far about the model a figure and its interval are looked for.
const halfReach = 0.5

// at picks the cues of a position.
func (h *hearing) at(position string) func(due) bool {
	return func(d due) bool { return h.show.Cues[d.cue].Position == position }
}

// shells picks the shells of a size in mm.
func (h *hearing) shells(mm float64) func(due) bool {
	return func(d due) bool { return d.shell && h.show.Cues[d.cue].Caliber == mm }
}

// tooMany takes the positions out of the model again where most of them stand apart:
// there is nothing to stand apart from.
func (h *hearing) tooMany() {
	n := 0
	for _, t := range h.terms {
		if t.kind == ofPosition {
			n++
		}
	}
	if 2*n > len(h.show.Positions) {
		h.terms = slices.DeleteFunc(h.terms, func(t *term) bool { return t.kind == ofPosition })
		h.refit()
	}
}

// rest picks the cues of nothing that stands apart.
func (h *hearing) rest() func(due) bool {
	return func(d due) bool {
		return !slices.ContainsFunc(h.terms, func(t *term) bool { return t.kind != ofShow && t.own(d) })
	}
}

// group estimates a position or a size.
func (h *hearing) group(kind termKind, name string, own func(due) bool) Group {
	g := Group{Name: name}
	base := h.terms[0].late
	var mine *term
	for _, t := range h.terms {
		if t.kind == kind && t.name == name {
			mine = t
			base += t.late
		}
	}
	prior := partPrior
	if mine != nil {
		prior = func(d float64) float64 { return partPrior(d + mine.late) }
	}
	g.Estimate = h.estimate(own, base, h.curve(own, halfReach), prior)
	g.Apart = mine != nil && g.Told
	return g
}

// estimate is how late cues are that the model has late by base, by the curve about it.
func (h *hearing) estimate(own func(due) bool, base float64, c curve, prior func(float64) float64) Estimate {
	var e Estimate
	out := 0.0
	for _, d := range h.due {
		if own(d) {
			e.Cues++
			out += d.out
			if h.states[d.cue] == Heard {
				e.Heard++
			}
		}
	}
	if e.Cues == 0 {
		return e
	}
	out *= shared / float64(e.Cues)
	p := c.posterior(0, prior)
	mid := quantile(p, 0.5)
	low, high := quantile(p, 0.025), quantile(p, 0.975)
	at := func(i float64) float64 { return (i - float64(len(c)/2)) * step }
	e.Late = seconds(base + at(mid))
	e.Low = e.Late - seconds(math.Hypot(at(mid)-at(low), 1.96*out))
	e.High = e.Late + seconds(math.Hypot(at(high)-at(mid), 1.96*out))
	e.Told = e.Heard >= fewest && e.High-e.Low <= widest && slices.Max(c)-floor(c) >= leastGain
	return e
}

const (
	// shared is the part of what is not known of the field that does not average out over
	// cues, ownOut the part that does.
	shared, ownOut = 0.6, 0.7
	// widest is the longest interval that is told as a fact.
	widest = 250 * time.Millisecond
	// leastGain is how much likelier than at shifts taken at random, as a log, the bangs
	// must be.
	leastGain = 6.0
)

// floor is the middle of a curve's values.
func floor(c curve) float64 {
	s := slices.Clone(c)
	slices.Sort(s)
	return s[len(s)/2]
}

// quantile is the place, between two, below which so much of the chance lies.
func quantile(p []float64, part float64) float64 {
	for i, v := range p {
		if part <= v {
			return float64(i) - 0.5 + part/v
		}
		part -= v
	}
	return float64(len(p) - 1)
}

func sizeName(mm float64) string { return fmt.Sprintf("%g mm", mm) }

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
