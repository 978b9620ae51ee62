package review

import (
	"math"
	"slices"
	"time"
)

// apartDoubt is the log odds against a group having a shift of its own, before
// it is counted how many shifts and groups were looked at.
const apartDoubt = 1.0

// leastApart is the least difference that is told.
const leastApart = 40 * time.Millisecond

// fitPositions fits each position and finds those that stand apart from the
// whole list, which is late by shift.
func (r *review) fitPositions(rep *Report, shift time.Duration) {
	r.extra, rep.Positions = map[string]time.Duration{}, nil
	c := r.newCrew(r.train, shift)
	for k, name := range c.names {
		p := Position{Name: name}
		p.Fit, p.Apart = c.trains[k].standsApart(c.own[k], shift, len(c.names))
		if p.Apart && len(c.names) > 1 {
			r.extra[name] = p.Shift - shift
		} else {
			p.Apart = false
		}
		rep.Positions = append(rep.Positions, p)
	}
	// Where most stand apart there is nothing to stand apart from.
	if 2*len(r.extra) > len(c.names) {
		clear(r.extra)
		for i := range rep.Positions {
			rep.Positions[i].Apart = false
		}
	}
}

// standsApart fits moments and asks whether they fit clearly better than at the
// common shift or close to it, and than cues that have nothing to do with the
// music. tries is how many groups are asked.
func (t *train) standsApart(own []time.Duration, common time.Duration, tries int) (Fit, bool) {
	f := t.fit(own, common)
	if f.Moments < fewest || (f.Shift-common).Abs() < leastApart {
		return f, false
	}
	// Shifts closer than the scatter are not different ones.
	shifts := float64(2 * Reach / (2 * scatter))
	here := 0.0
	for d := -leastApart; d <= leastApart; d += grid {
		here = max(here, t.sum(own, common+d))
	}
	gain := t.sum(own, f.Shift) - here
	return f, temper*gain+likely(f.Shift-common) > apartDoubt+math.Log(shifts*float64(tries))
}

// sectionMoments is about how many moments a section has.
const (
	sectionMoments = 20
	mostSections   = 12
)

// fitSections cuts the show at pauses and fits each part.
func (r *review) fitSections(rep *Report) {
	cues := r.straightened()
	bounds := cut(cues)
	plain := newTrain(r.music, tastes(r.train.taste.scatter)[0], nil)
	for k := 0; k+1 < len(bounds); k++ {
		own := cues[bounds[k]:bounds[k+1]]
		s := Section{From: own[0], To: own[len(own)-1]}
		for _, a := range r.music.Accents {
			if a.At >= s.From-meets && a.At <= s.To+meets {
				s.Accents++
			}
		}
		s.Few = s.Accents < fewest || 3*s.Accents < len(own)
		// What holds for the cues of the whole show need not hold for each part.
		_, plainly := plain.standsApart(own, rep.Show.Shift, len(bounds)-1)
		s.Fit, s.Apart = r.train.standsApart(own, rep.Show.Shift, len(bounds)-1)
		s.Apart = s.Apart && plainly
		s.Apart = s.Apart && !s.Few && !rep.Rate.Grows
		rep.Sections = append(rep.Sections, s)
	}
}

// straightened returns the moments with the positions that stand apart put
// back in line with the show.
func (r *review) straightened() []time.Duration {
	var out []time.Duration
	for _, c := range r.cues {
		out = append(out, c.EffectAt-r.extra[c.Position])
	}
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b time.Duration) bool { return (b - a).Abs() <= oneMoment })
}

// cut parts moments into sections of about sectionMoments, each boundary at the
// longest pause near an even division. It returns where each begins, and the end.
func cut(moments []time.Duration) []int {
	n := len(moments)
	parts := min(max(1, n/sectionMoments), mostSections)
	out := []int{0}
	for k := 1; k < parts; k++ {
		middle, slack := k*n/parts, n/parts/3
		best := middle
		for i := middle - slack; i <= middle+slack; i++ {
			if moments[i]-moments[i-1] > moments[best]-moments[best-1] {
				best = i
			}
		}
		out = append(out, best)
	}
	if n > 0 {
		out = append(out, n)
	}
	return out
}
