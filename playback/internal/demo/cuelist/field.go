package cuelist

import (
	"fmt"
	"time"
)

// The positions, from left to right as the audience sees them. Beacon is fired
// by hand.
const (
	mole   = "Mole"
	quay   = "Quay"
	jetty  = "Jetty"
	slip   = "Slip"
	barge  = "Barge"
	beacon = "Beacon"
)

// A Position is a place in the field.
type Position struct {
	Name      string
	Distance  int // metres to the main audience
	Bearing   int // degrees clockwise from straight ahead
	HandFired bool
	Modules   []string
}

// Positions are the places of the demo, from left to right.
var Positions = []Position{
	{mole, 210, -38, false, []string{"M1", "M2"}},
	{quay, 180, -18, false, []string{"Q1", "Q2"}},
	{jetty, 165, 0, false, []string{"J1", "J2"}},
	{slip, 180, 17, false, []string{"S1", "S2"}},
	{barge, 240, 36, false, []string{"B1", "B2"}},
	{beacon, 320, 58, true, nil},
}

// Every module of the demo has Pins pins and can take two cues MinGap apart.
const (
	Pins   = 32
	MinGap = 50 * time.Millisecond
)

// A module is being filled.
type module struct {
	name string
	used int
	last time.Duration
}

// wire gives each cue, in the order of firing, the next free pin of a module
// at its position that has had time since its last cue.
func wire(cues []Line) error {
	field := make(map[string][]*module)
	hand := make(map[string]bool)
	for _, p := range Positions {
		hand[p.Name] = p.HandFired
		for _, m := range p.Modules {
			field[p.Name] = append(field[p.Name], &module{name: m, last: -MinGap})
		}
	}
	for i := range cues {
		c := &cues[i]
		if hand[c.Position] {
			continue
		}
		m := free(field[c.Position], c.IgniteAt())
		if m == nil {
			return fmt.Errorf("%s has no free pin for %q at %v", c.Position, c.Item.Effect, c.EffectAt)
		}
		m.used++
		m.last = c.IgniteAt()
		c.Module, c.Pin = m.name, m.used
	}
	return nil
}

// free returns the emptiest module that can take a cue at t, or nil.
func free(modules []*module, t time.Duration) *module {
	var best *module
	for _, m := range modules {
		if m.used < Pins && t-m.last >= MinGap && (best == nil || m.used < best.used) {
			best = m
		}
	}
	return best
}
