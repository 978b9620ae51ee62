package drift

import "slices"

// An analysis holds the taps so far and the running search.
type analysis struct {
	cfg    Config
	cues   []Target
	search *search
	lanes  []string // of all cues, by name
	taps   []Tap
}

func newAnalysis(cues []Target, cfg Config) *analysis {
	a := &analysis{cfg: cfg, cues: slices.Clone(cues)}
	a.search = newSearch(accents(cues), cfg.reach())
	for _, acc := range a.search.accents {
		a.lanes = append(a.lanes, acc.lanes...)
	}
	slices.Sort(a.lanes)
	a.lanes = slices.Compact(a.lanes)
	return a
}

func (a *analysis) add(t Tap) {
	a.taps = append(a.taps, t)
	a.search.add(a.cfg.accentAt(t).Seconds(), t)
}

// fit finds the model under the likeliest shift, and the pairs.
func (a *analysis) fit(p peak) *fitted {
	order, taps, y := sortTaps(a.taps, a.cfg)
	f := &fitted{taps: taps, y: y}
	f.model = model{shift: p.shift, slope: p.slope, taste: p.taste, lane: map[string]float64{}}
	for _, lane := range a.lanes {
		if d := a.search.laneShift(p, lane, len(a.lanes), taps, y); d != 0 && len(a.lanes) > 1 {
			f.lane[lane] = d
		}
	}
	f.refine(a.search.accents)
	f.keep(a.search.accents, a.cfg, order)
	return f
}

// inLane reports whether the pair counts for the lane.
func (a *analysis) inLane(p Pair, lane string) bool {
	if l := a.taps[p.Tap].Lane; l != "" {
		return l == lane
	}
	return slices.ContainsFunc(p.Cues, func(c int) bool { return a.cues[c].Lane == lane })
}

// only reports whether the pair counts for the lane and for no other.
func (a *analysis) only(p Pair, lane string) bool {
	if l := a.taps[p.Tap].Lane; l != "" {
		return l == lane
	}
	return !slices.ContainsFunc(p.Cues, func(c int) bool { return a.cues[c].Lane != lane })
}
