// Package calls makes the sound of calls to a position that is fired by hand:
// phrases, spoken or as pips, each at its time. The mark of a phrase is the
// onset of its sound.
package calls

import "time"

// A PhraseKind says what a phrase is for.
type PhraseKind uint8

// The kinds of phrase.
const (
	Warning PhraseKind = iota
	Count
	Word
)

// A Phrase is one thing to be said.
type Phrase struct {
	Kind PhraseKind
	N    int           // Warning: how many words follow
	At   time.Duration // of its mark
	Room time.Duration // in which it is over; 0 for as long as it takes
	Text string        // in words
	// Spoken is what a voice reads in place of Text; empty for the text itself.
	Spoken string
}
