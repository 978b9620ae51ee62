package drift

import (
	"math"
	"slices"
	"time"
)

// report pairs, estimates and judges.
func (a *analysis) report() Report {
	peaks := a.search.peaks()
	f := a.fit(peaks[0])
	rep := Report{Pairs: f.pairs}
	rep.LooseTaps = a.looseTaps(f.pairs)
	rep.LooseCues = a.looseCues(f.pairs)
	rep.Lanes = a.laneGroups(f)
	rep.Sections = f.sectionGroups(a.cfg.Sections)
	rep.Rate = a.rate(f)
	apart := a.findApart(f)
	rep.Show = f.estimate(0, func(p Pair) bool { return apart == nil || !a.inLane(p, apart.Name) })
	rep.Verdict = judge(rep, a.search.accents, peaks, apart, len(a.taps))
	return rep
}

func (a *analysis) looseTaps(pairs []Pair) []int {
	order, _, _ := sortTaps(a.taps, a.cfg)
	return slices.DeleteFunc(order, func(i int) bool {
		return slices.ContainsFunc(pairs, func(p Pair) bool { return p.Tap == i })
	})
}

// looseCues lists the cues from the first paired accent to the last that have
// no tap.
func (a *analysis) looseCues(pairs []Pair) []int {
	from, to := accentSpan(pairs)
	tapped := map[time.Duration]bool{}
	for _, p := range pairs {
		tapped[p.At] = true
	}
	var out []int
	for _, acc := range a.search.accents {
		if len(pairs) > 0 && acc.at >= from && acc.at <= to && !tapped[acc.at] {
			out = append(out, acc.cues...)
		}
	}
	return out
}

func (a *analysis) laneGroups(f *fitted) []Group {
	var out []Group
	for _, lane := range a.lanes {
		e := f.estimate(f.lane[lane], func(p Pair) bool { return a.inLane(p, lane) })
		if e.N > 0 {
			alone := len(residuals(f.pairs, func(p Pair) bool { return a.only(p, lane) }))
			out = append(out, Group{Name: lane, Estimate: e, Alone: alone})
		}
	}
	return out
}

// rate fits the growth of the residual, with the lanes that stand apart put
// back in line, so that a lane used late in the show does not look like drift.
func (a *analysis) rate(f *fitted) Rate {
	var x, y []float64
	for _, p := range f.pairs {
		if p.counts() {
			x = append(x, p.At.Seconds())
			y = append(y, p.Residual.Seconds()-a.laneExtra(f, p))
		}
	}
	r := Rate{N: len(x), Slope: math.NaN(), Low: math.NaN(), High: math.NaN()}
	b := theilSen(x, y, confidence)
	if r.N < 3 || b.level == 0 {
		return r
	}
	r.Slope, r.Low, r.High = b.centre, b.low, b.high
	sure := theilSen(x, y, sureness)
	moved := math.Abs(r.Slope) * (slices.Max(x) - slices.Min(x))
	r.Grows = r.N >= MinTaps && (sure.low > 0 || sure.high < 0) && moved >= NudgeStep.Seconds()/2
	return r
}

// laneExtra is the shift of its lane alone that the model gives to the pair.
func (a *analysis) laneExtra(f *fitted, p Pair) float64 {
	if lane := a.cues[p.Cues[0]].Lane; a.only(p, lane) {
		return f.lane[lane]
	}
	return 0
}
