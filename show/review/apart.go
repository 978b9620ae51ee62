package review

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// leastApart is the least difference that is told.
const leastApart = 40 * time.Millisecond

// What the moments of a section count for, against as many free ones: those of one
// section follow one habit, too, and more of them tell no more of it.
const (
	partTemper = 0.5
	partMost   = 60.0
)

// fitPositions fits each position and finds those that stand apart from the
// whole list, which is late by shift.
func (r *review) fitPositions(rep *Report, shift time.Duration) {
	r.extra, rep.Positions = map[string]time.Duration{}, nil
	c := r.newCrew(r.train, shift)
	curves := c.curves(r.Ear, shift)
	for k, name := range c.names {
		p := Position{Name: name}
		if p.Fit, p.Apart = rep.Show, false; len(c.names) > 1 {
			p.Fit, p.Apart = c.standsBeside(k, curves, shift)
		}
		if p.Apart {
			r.extra[name] = p.Shift - shift
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

// standsApart finds where the moments of a section most likely belong, and reports
// whether that is clearly not where the whole list does, which is late by common. whole
// is the curve of the whole list about it: a place that is as good for the whole list
// is no evidence of a section's being there.
func (t *train) standsApart(own []time.Duration, common time.Duration, whole Curve) (Fit, bool) {
	f := Fit{Shift: common, Moments: len(own)}
	if len(own) < fewest {
		return f, false
	}
	c := t.curve(own, common)
	halfway := (medianOf(whole.Score) + slices.Max(whole.Score)) / 2
	weight := partTemper * min(float64(len(own)), partMost)
	logs := make([]float64, len(c.Score))
	for i, s := range c.Score {
		off := c.Shift(i) - common
		if off.Abs() >= leastApart {
			s -= 2 * max(0, whole.Score[i]-halfway)
		}
		logs[i] = weight*s + ofSection.log(off)
	}
	top, all, home := slices.Max(logs), 0.0, 0.0
	for i, v := range logs {
		logs[i] = math.Exp(v - top)
		all += logs[i]
		if (c.Shift(i) - common).Abs() < leastApart {
			home += logs[i]
		}
	}
	var found []place
	for _, i := range peaks(logs, 0, len(logs)-1) {
		s := place{shift: c.Shift(i)}
		for k := max(0, i-partWidth); k <= min(len(logs)-1, i+partWidth); k++ {
			s.chance += logs[k] / all
		}
		found = append(found, s)
	}
	slices.SortFunc(found, func(a, b place) int { return cmp.Compare(b.chance, a.chance) })
	f.take(found)
	f.Shift, f.Met = t.refine(own, f.Shift)
	return f, home/all < 1-Sure && (f.Shift-common).Abs() >= leastApart
}

// partWidth is how far about a peak its chance is summed up.
const partWidth = int(oneMeeting / grid)

// take takes the likeliest of places, and those needed to be sure of one of them.
func (f *Fit) take(found []place) {
	f.Shift, f.Confidence = found[0].shift, found[0].chance
	sum := f.Confidence
	for _, s := range found[1:] {
		if sum >= Sure {
			return
		}
		f.Ambiguous = true
		f.Rivals = append(f.Rivals, Rival{Shift: s.shift, Chance: s.chance})
		sum += s.chance
	}
}

// sectionMoments is about how many moments a section has.
const (
	sectionMoments = 20
	mostSections   = 12
)

// fitSections cuts the show at pauses and fits each part.
func (r *review) fitSections(rep *Report) {
	cues := r.straightened()
	bounds := Cut(cues)
	whole := r.train.curve(thinned(cues, mostMoments), rep.Show.Shift)
	plain := r.of(r.train.taste.scatter)[0]
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
		_, plainly := plain.standsApart(own, rep.Show.Shift, whole)
		s.Fit, s.Apart = r.train.standsApart(own, rep.Show.Shift, whole)
		s.Apart = s.Apart && plainly && s.Found() && !s.Few && !rep.Rate.Grows
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

// Cut parts moments into sections of about sectionMoments, each boundary at the
// longest pause near an even division. It returns where each begins, and the end.
func Cut(moments []time.Duration) []int {
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
