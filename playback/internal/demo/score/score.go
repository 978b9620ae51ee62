// Package score composes and renders the demo's soundtrack, for the tool that
// writes the demo and for tests; nothing that is shipped imports it. It is an
// invented piece in D for synthesised strings, bells, horn and drums, of about two
// and a quarter minutes.
//
// Everything in it sits on a grid of whole frames, so the places of its
// accents are known exactly and not by listening. The rendering is the same to
// the bit on every run on one kind of processor; between kinds (which may or may
// not fuse a multiplication with an addition) a sample may differ by one step
// of its 16 bits.
package score

import (
	"slices"

	"drylane/show/timebase"
)

// Rate is the sample rate of the piece. At 44.1 kHz a hundredth of a second is
// a whole number of frames, and so is every step of the grid.
const Rate = 44100

// A Score is the composed piece: what sounds when.
type Score struct {
	Accents []Accent // in order of time
	Length  timebase.Frame
	notes   [instruments][]note
}

// An Accent is a moment of the music that an effect could be placed on.
type Accent struct {
	At      timebase.Frame
	Section string
	Bar     int // of the section, from 0
	Step    int // of the bar, a sixteenth each, from 0
	Level   Level
}

// A Level is how strong an accent is.
type Level int

// The levels. Everything from Run upwards has a drum on it.
const (
	Soft   Level = 1 + iota // a bell or a bass note alone
	Run                     // one of many in a row, each a step apart
	Strong                  // drums
	Full                    // drums, cymbal and chord
)

// String returns the level's name.
func (l Level) String() string {
	switch l {
	case Soft:
		return "soft"
	case Run:
		return "run"
	case Strong:
		return "strong"
	case Full:
		return "full"
	}
	return "none"
}

// A note is one sounding of an instrument.
type note struct {
	at, length timebase.Frame
	pitch      pitch
	force      float64 // 0..1
	pan        float64 // -1 left .. +1 right
}

// Compose writes the piece.
func Compose() *Score {
	s := &Score{Length: timebase.Frame(length) * Rate}
	s.composePrelude()
	s.composeIntro()
	s.composeTheme()
	s.composeBuild()
	s.composeChase()
	s.composeSlow()
	s.composeReturn()
	s.composeFinale()
	slices.SortStableFunc(s.Accents, func(a, b Accent) int { return int(a.At - b.At) })
	return s
}

// Onsets returns the moments at which something audibly begins, in order,
// each once: all notes but the strings, which swell in without an attack.
func (s *Score) Onsets() []timebase.Frame {
	at := []timebase.Frame{timebase.Frame(WitnessAt.Seconds() * Rate)}
	for i, notes := range s.notes {
		if instrument(i) == violins {
			continue
		}
		for _, n := range notes {
			at = append(at, n.at)
		}
	}
	slices.Sort(at)
	return slices.Compact(at)
}

// play adds a note.
func (s *Score) play(i instrument, n note) { s.notes[i] = append(s.notes[i], n) }
