// Package exchange brings cue lists in from other programs and gives them out
// again: delimited text by a mapping of its columns to ours, and markers in WAV
// and Standard MIDI files.
//
// It knows no program's layout. A Profile says what a column means; a column that
// it does not mention is taken only if it has one of our own names. A row that
// cannot become a cue is returned with the reason; none is dropped silently.
package exchange

import (
	"strings"

	"drylane/show"
)

// A Column is one of the columns of our cue list.
type Column int

// The columns, in the order of a cue list.
const (
	Cue Column = iota
	EffectAt
	Prefire
	Position
	Module
	Pin
	Effect
	Caliber
	Burn
	Note
	// IgniteAt is no column of our cue list: with it the prefire is how long
	// before its effect a cue ignites.
	IgniteAt
	ColumnCount // how many there are
)

// Columns are the columns' names, by Column.
var Columns = [ColumnCount]string{
	"cue", "effect_at", "prefire", "position", "module", "pin", "effect", "caliber_mm", "burn", "note", "ignite_at",
}

// Listed are the columns of our own cue list.
var Listed = Columns[:IgniteAt]

// String returns the column's name in a cue list.
func (c Column) String() string { return Columns[c] }

// columnNamed is the inverse of String.
func columnNamed(name string) (Column, bool) {
	for i, n := range Columns {
		if n == name {
			return Column(i), true
		}
	}
	return 0, false
}

// Limits of what is read. A show holds at most maxRows cues.
const (
	maxRows   = 100_000
	maxFields = 4_000_000 // of a cue list
	maxText   = 32 << 20  // bytes of a cue list
	maxFacts  = 200       // problems listed of one kind
)

// quoteLimit bounds, in characters, what a message repeats of a file.
const quoteLimit = 60

// fold drops what people vary in a name without noticing: case, blanks, dashes
// and a unit in brackets.
func fold(s string) string {
	if i := strings.IndexAny(s, "(["); i > 0 {
		s = s[:i]
	}
	return strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(s)))
}

// clean is the text of a cell as a show holds it.
func clean(raw string) string { return show.Unshield(strings.TrimSpace(show.Clean(raw))) }
