// Package sheet makes crew sheets: for each position its cues in the order in
// which they are fired, its modules and pins, and the words it will hear.
package sheet

import (
	"cmp"
	"slices"
	"time"

	"drylane/show"
)

// A Sheet is what the crew of one position needs on paper. Its texts are safe
// to print.
type Sheet struct {
	Show      string
	Position  string
	Distance  float64 // metres to the main audience; 0 when unknown
	HandFired bool
	Cues      []Line   // by ignition
	Modules   []Module // by name
	Largest   float64  // caliber in mm; 0 when none is given
	Witness   string   // the cue with the witness tone, if it is fired here
}

// A Line is one cue on a sheet. Number counts them from 1 within the position.
type Line struct {
	Number  int
	ID      string
	Ignite  time.Duration
	Effect  time.Duration
	Prefire time.Duration
	Module  string
	Pin     int
	What    string
	Caliber float64
	Note    string
	// StandBy is when a hand-fired position is told to stand by for it, and
	// Together that it is fired on one call with the cue before.
	StandBy  time.Duration
	Together bool
}

// A Module is a firing module of the position with the pins that are in use.
type Module struct {
	Name string
	Pins []int // in order, each once
}

// standBy is how long before the word to fire the crew is told to stand by
// (common practice, no source).
const standBy = 5 * time.Second

// For makes a sheet for each position of a show, in the show's order.
func For(s *show.Show) []*Sheet {
	by := map[string]*Sheet{}
	var sheets []*Sheet
	for _, p := range s.Positions {
		sh := &Sheet{Show: show.Clean(s.Title), Position: show.Clean(p.Name), Distance: p.Distance, HandFired: p.HandFired}
		by[p.Name] = sh
		sheets = append(sheets, sh)
	}
	pins := map[*Sheet]map[string][]int{}
	for _, c := range s.Cues {
		sh := by[c.Position]
		if sh == nil {
			continue // a show that was read whole has none of these
		}
		if s.Witness != nil && s.Witness.Cue == c.ID {
			sh.Witness = show.Clean(c.ID)
		}
		sh.add(c)
		if c.Module != "" {
			if pins[sh] == nil {
				pins[sh] = map[string][]int{}
			}
			pins[sh][c.Module] = append(pins[sh][c.Module], c.Pin)
		}
	}
	for sh, modules := range pins {
		sh.modules(modules)
	}
	return sheets
}

// add appends a cue; cues come in firing order.
func (s *Sheet) add(c show.Cue) {
	n := len(s.Cues)
	line := Line{
		Number: n + 1, ID: show.Clean(c.ID), Ignite: c.IgniteAt(), Effect: c.EffectAt, Prefire: c.Prefire,
		Module: show.Clean(c.Module), Pin: c.Pin, What: show.Clean(c.Effect), Caliber: c.Caliber, Note: show.Clean(c.Note),
		StandBy: max(0, c.IgniteAt()-standBy),
	}
	if n > 0 {
		before := s.Cues[n-1]
		line.Together = before.Ignite == line.Ignite
		line.StandBy = max(line.StandBy, min(before.Ignite, line.Ignite))
		if line.Together {
			line.StandBy = before.StandBy
		}
	}
	s.Cues = append(s.Cues, line)
	s.Largest = max(s.Largest, c.Caliber)
}

// modules lists the pins in use.
func (s *Sheet) modules(pins map[string][]int) {
	for name, list := range pins {
		list = slices.DeleteFunc(list, func(p int) bool { return p == 0 })
		slices.Sort(list)
		s.Modules = append(s.Modules, Module{show.Clean(name), slices.Compact(list)})
	}
	slices.SortFunc(s.Modules, func(a, b Module) int { return cmp.Compare(a.Name, b.Name) })
}
