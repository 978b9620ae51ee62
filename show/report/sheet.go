package report

import (
	"slices"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
)

// A Person is who tapped, as calibrated.
type Person struct {
	Name string
	// Bias is tap minus sound, negative for early; it is taken off every tap.
	Bias time.Duration
	// Calibrated says that Bias was measured, with so much scatter, from so many taps.
	// Otherwise it is 0.
	Calibrated bool
	Scatter    time.Duration
	Taps       int
}

// A Sheet is a run with what its taps tell.
type Sheet struct {
	Name   string // of the session's file
	Run    *Run
	Person Person
	// List is the drift of the cue list as it is written, with no nudge: all
	// taps of the run count, whatever the nudge was. Cues that were stood down,
	// or no part of the run since it was re-entered, are left out. Its verdict's nudge is the one to begin with next time.
	List drift.Report
	// Listed are indices into Run.Cues of the cues that List was made with, so
	// that Listed[List.Pairs[k].Cues[0]] is a cue of the run.
	Listed []int
	// Eras are the taps between two nudges against the cues as they were in
	// force, when there was any nudge.
	Eras []EraDrift
	// Places are the taps of the crew's listeners, and of whoever tapped at the console,
	// joined; nil when no listener tapped.
	Places *drift.Places
}

// An EraDrift is what the taps under one nudge tell.
type EraDrift struct {
	Nudge    time.Duration
	From, To timebase.Frame // of the first tap and the last
	Taps     int
	Drift    drift.Report
}

// NewSheet analyses a run. Name is how people know the session.
func NewSheet(name string, run *Run, who Person) *Sheet {
	s := &Sheet{Name: show.Clean(name), Run: run, Person: who}
	s.Person.Name = show.Clean(who.Name)
	for i, c := range run.Cues {
		if !c.Down && !c.LeftOut && c.Ending != Before {
			s.Listed = append(s.Listed, i)
		}
	}
	s.List = s.list(run.Taps)
	if slices.ContainsFunc(run.Taps, func(t Tap) bool { return t.Nudge != 0 }) {
		s.eras()
	}
	s.places()
	return s
}

// list measures the list as written against the taps.
func (s *Sheet) list(taps []Tap) drift.Report {
	return drift.Analyse(s.asListed(), s.taps(taps), drift.Config{Bias: s.Person.Bias, Reach: reachOf(taps)})
}

// reachOf is how far a list may be off that was tapped along with under those nudges:
// by about as much as them, so look as far beyond as one looks without.
func reachOf(taps []Tap) time.Duration {
	var most time.Duration
	for _, t := range taps {
		most = max(most, t.Nudge.Abs())
	}
	return min(drift.MaxReach, drift.DefaultReach+most)
}

// asListed are the cues of Listed as the list has them.
func (s *Sheet) asListed() []drift.Effect {
	return s.cues(func(c CueRun) timebase.Frame { return c.Listed })
}

// Within is List from the taps of one section alone: those heard from from on
// and before until; until 0 is the end.
func (s *Sheet) Within(from, until time.Duration) drift.Report {
	var taps []Tap
	for _, t := range s.Run.Taps {
		if at := s.Run.At(t.Heard); at >= from && (until == 0 || at < until) {
			taps = append(taps, t)
		}
	}
	return s.list(taps)
}

// cues are the cues of Listed with their effect times by at.
func (s *Sheet) cues(at func(CueRun) timebase.Frame) []drift.Effect {
	out := make([]drift.Effect, len(s.Listed))
	for k, i := range s.Listed {
		c := s.Run.Cues[i]
		out[k] = drift.Effect{At: s.Run.At(at(c)), Lane: c.Position}
	}
	return out
}

func (s *Sheet) taps(taps []Tap) []drift.Tap {
	out := make([]drift.Tap, len(taps))
	for i, t := range taps {
		out[i] = drift.Tap{Heard: s.Run.At(t.Heard)}
	}
	return out
}

// eras measures the taps of each nudge against the cues as it shifted them.
func (s *Sheet) eras() {
	cues := s.inForce()
	for _, era := range drift.Eras(s.Run.Taps, func(t Tap) time.Duration { return t.Nudge }) {
		n := len(era.Taps)
		s.Eras = append(s.Eras, EraDrift{Nudge: era.Nudge, From: era.Taps[0].Heard, To: era.Taps[n-1].Heard, Taps: n,
			Drift: drift.Analyse(cues, s.taps(era.Taps), drift.Config{Bias: s.Person.Bias})})
	}
}

// inForce are the cues of Listed as they came, those left out that came while the
// music stood still: what the console measures the taps by, too.
func (s *Sheet) inForce() (out []drift.Effect) {
	for _, i := range s.Listed {
		if c := s.Run.Cues[i]; !c.InHold {
			out = append(out, drift.Effect{At: s.Run.At(c.Due), Lane: c.Position})
		}
	}
	return out
}

// An Outcome is what became of one tap in the analysis.
type Outcome string

// The outcomes of a tap.
const (
	Counted Outcome = "counted"
	Outlier Outcome = "outlier" // too far from the others
	Unclear Outcome = "unclear" // another accent explains it nearly as well
	Loose   Outcome = "loose"   // no cue was found for it
)

// A Point is one tap with the cue it belongs to. Cue, Lane and Residual are
// empty for a loose tap.
type Point struct {
	Heard    timebase.Frame
	Cue      string // all of them, where several come at one moment
	Lanes    []string
	Effect   time.Duration // as listed
	Residual time.Duration // of the cue list as written; positive: late
	Outcome  Outcome
}

// Points are all taps, in the order in which they came.
func (s *Sheet) Points() []Point {
	points := make([]Point, len(s.Run.Taps))
	for i, t := range s.Run.Taps {
		points[i] = Point{Heard: t.Heard, Outcome: Loose}
	}
	for _, p := range s.List.Pairs {
		out := &points[p.Tap]
		out.Effect, out.Residual, out.Outcome = p.At, p.Residual, Counted
		switch {
		case p.Outlier:
			out.Outcome = Outlier
		case p.Unclear:
			out.Outcome = Unclear
		}
		for n, k := range p.Cues {
			c := s.Run.Cues[s.Listed[k]]
			if n > 0 {
				out.Cue += " "
			}
			out.Cue += c.ID
			if !slices.Contains(out.Lanes, c.Position) {
				out.Lanes = append(out.Lanes, c.Position)
			}
		}
	}
	return points
}
