package retime

import (
	"fmt"
	"math"
	"slices"
	"time"

	"drylane/show/drift"
	"drylane/show/words"
)

// grain is what a shift taken from taps is rounded to: taps tell no more.
const grain = 10 * time.Millisecond

// FromDrift makes the specs that put the cues of a cue list on the music, from
// the drift of the list as written. Only the cues that within picks move:
// position, From and Until are taken from it. r must come from taps at those
// cues; with a position it may come from taps at all cues. The error says why
// the taps do not tell.
func FromDrift(r drift.Report, within Spec) ([]Spec, error) {
	whole := within
	whole.Shift, whole.Rate = 0, 0
	if within.Position != "" {
		i := slices.IndexFunc(r.Lanes, func(g drift.Group) bool { return g.Name == within.Position })
		if i < 0 {
			return nil, fmt.Errorf("no tap belongs to a cue of %s", within.Position)
		}
		return one(whole, r.Lanes[i].Estimate)
	}
	switch r.Verdict.Code {
	case drift.Nudge:
		return one(whole, r.Show)
	case drift.RateWrong:
		return []Spec{line(r, whole)}, nil
	case drift.LaneApart:
		return apart(r, whole)
	}
	return nil, fmt.Errorf("the taps give no change to make: %s", r.Verdict.Text)
}

// one shifts by an estimate, if it is more than chance.
func one(s Spec, e drift.Estimate) ([]Spec, error) {
	if e.N < drift.MinTaps {
		return nil, fmt.Errorf("too few taps count: found %d; wanted at least %d", e.N, drift.MinTaps)
	}
	if e.Low <= 0 && e.High >= 0 {
		return nil, fmt.Errorf("the taps give no change to make: the cues are somewhere between %s and %s", words.Late(e.Low), words.Late(e.High))
	}
	s.Shift = e.Offset.Round(grain)
	if s.Shift == 0 {
		return nil, fmt.Errorf("the taps give no change to make: the cues are %s", words.Late(e.Offset))
	}
	return []Spec{s}, nil
}

// line takes out a growing error: the offset is that of the middle tap, and
// the line through it is followed back to where the cues to move begin.
func line(r drift.Report, s Spec) Spec {
	var at []time.Duration
	for _, p := range r.Pairs {
		if !p.Outlier && !p.Unclear {
			at = append(at, p.At)
		}
	}
	slices.Sort(at)
	middle := at[len(at)/2]
	if len(at)%2 == 0 {
		middle = (at[len(at)/2-1] + middle) / 2
	}
	s.Rate = int64(math.Round(r.Rate.Slope * 1e9))
	s.Shift = r.Show.Offset - time.Duration(math.Round(r.Rate.Slope*float64(middle-s.From)))
	s.Shift = s.Shift.Round(time.Millisecond)
	return s
}

// apart moves the lane that stands apart on its own, and the others if they
// need it.
func apart(r drift.Report, s Spec) ([]Spec, error) {
	var specs []Spec
	var rest time.Duration
	if r.Verdict.Nudge != 0 {
		rest = r.Show.Offset.Round(grain)
		s.Shift = rest
		specs = append(specs, s)
	}
	i := slices.IndexFunc(r.Lanes, func(g drift.Group) bool { return g.Name == r.Verdict.Lane })
	if i < 0 {
		return nil, fmt.Errorf("no tap belongs to a cue of %s", r.Verdict.Lane)
	}
	if n := r.Lanes[i].Estimate.N; n < drift.MinTaps { // as for one position that is asked for
		return nil, fmt.Errorf("too few taps count at %s: found %d; wanted at least %d", r.Verdict.Lane, n, drift.MinTaps)
	}
	s.Position = r.Verdict.Lane
	s.Shift = r.Lanes[i].Estimate.Offset.Round(grain) - rest
	return append(specs, s), nil
}
