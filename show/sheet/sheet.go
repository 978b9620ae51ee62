// Package sheet makes crew sheets: for each position its cues in the order in
// which they are fired, its modules and pins, and the words it will hear.
package sheet

import (
	"cmp"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/callplan"
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
	Calls     *Calls   // nil for a position that is not called
}

// Calls are how a position is called.
type Calls struct {
	Pips    bool
	Track   string // the companion that carries them; empty where a person calls
	Shared  bool   // the track calls other positions too
	Example string // the first warning, as it is spoken; empty for none

	words show.CallWords
}

// A Line is one cue of a sheet.
type Line struct {
	ID      string
	Ignite  time.Duration
	Effect  time.Duration
	Prefire time.Duration
	Module  string
	Pin     int
	What    string
	Caliber float64
	Note    string
	// Said is what is called for the cue, without what stands at a line above,
	// and With how it is fired with another cue on one word; empty for a word
	// of its own.
	Said []Said
	With string
}

// Said is what a crew hears from a time of the soundtrack on. Counts are a second
// apart, and the word is on the next second.
type Said struct {
	At   time.Duration
	Text string // as it is spoken, or the pips that stand for it
}

// A Module is a firing module of the position with the pins that are in use.
type Module struct {
	Name string
	Pins []int // in order, each once
}

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
	for _, post := range callplan.Posts(s) {
		by[post.Position].call(post, s.Calls.Words)
	}
	return sheets
}

// add appends a cue; cues come in firing order.
func (s *Sheet) add(c show.Cue) {
	s.Cues = append(s.Cues, Line{
		ID: show.Clean(c.ID), Ignite: c.IgniteAt(), Effect: c.EffectAt, Prefire: c.Prefire,
		Module: show.Clean(c.Module), Pin: c.Pin, What: show.Clean(c.Effect), Caliber: c.Caliber, Note: show.Clean(c.Note),
	})
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

// Wired reports whether any cue of the position is on a module.
func (s *Sheet) Wired() bool { return len(s.Modules) > 0 }

// Columns is how many columns the sheet has on a page: one that would have
// nothing in it is left out, and where calls need the room the caliber and the
// time of the effect stand below its name.
func (s *Sheet) Columns() int {
	n := 5 // box, cue, fire at, effect; calls, or effect at
	if s.Wired() {
		n++
	}
	if s.Largest > 0 && s.Calls == nil {
		n++
	}
	return n
}
