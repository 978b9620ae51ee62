// Package calls makes the sound that a hand-fired position fires by: for each
// cue a warning, a count and the word, spoken or as pips.
//
// The mark of a call is the onset of its word: it falls on the ignition time.
// Counts fall on the whole seconds before it. What is said, and when, is common
// practice, no source; the procedure of a show is that of the operator in
// charge.
package calls

import (
	"cmp"
	"slices"
	"time"
)

// The rules by which calls are laid out.
const (
	// Room is the quiet that a call of its own needs between the word before
	// it and its own word. A cue with less joins the series of the one before.
	Room = 8 * time.Second
	// WarnAhead is how long before the first word its warning begins, and
	// WarnEnd how long before the first count it is over.
	WarnAhead = 7 * time.Second
	WarnEnd   = 500 * time.Millisecond
	// Counts is how many are counted before a word, one a second.
	Counts = 3
	// Near is how close to a word no further word can be called: such a cue
	// has no word of its own.
	Near = 700 * time.Millisecond
)

// A Firing is one ignition at a position.
type Firing struct {
	ID string
	At time.Duration
}

// A Shot is one word and the cues called by it.
type Shot struct {
	At time.Duration // of the word
	// Cues are those that the word is for. The first ignites on it, the others
	// less than Near later: Late tells how much.
	Cues  []Firing
	Count int // how many counts fit before the word, 0 to Counts
}

// Late is how long after the word its last cue ignites; 0 when all are on it.
func (s Shot) Late() time.Duration { return s.Cues[len(s.Cues)-1].At - s.At }

// A Series is the shots under one warning.
type Series struct {
	Shots  []Shot
	Warned bool // there is time for a warning before the first count
}

// Cues lists the cues of a series, in order.
func (s Series) Cues() []Firing {
	var cues []Firing
	for _, shot := range s.Shots {
		cues = append(cues, shot.Cues...)
	}
	return cues
}

// Plan lays out the calls for the cues of one position, which come in any
// order, from 0 on:
//
//   - Cues less than Near after a word share that word.
//   - A word with Room or more before it begins a series, with a warning that
//     names all cues of it and the full count.
//   - Each other word follows in the series before. It has as many counts as
//     fit a second and more after the word before it, perhaps none.
//   - Before the first word of all only what fits after 0 is said.
func Plan(cues []Firing) []Series {
	cues = slices.Clone(cues)
	slices.SortStableFunc(cues, func(a, b Firing) int { return cmp.Compare(a.At, b.At) })
	var all []Series
	var word time.Duration // of the shot before
	for i, cue := range cues {
		switch gap := cue.At - word; {
		case i > 0 && gap < Near:
			series := &all[len(all)-1]
			shot := &series.Shots[len(series.Shots)-1]
			shot.Cues = append(shot.Cues, cue)
			continue
		case i > 0 && gap < Room:
			series := &all[len(all)-1]
			series.Shots = append(series.Shots, Shot{At: cue.At, Cues: []Firing{cue}, Count: counts(gap - time.Second)})
		case i > 0:
			all = append(all, Series{Shots: []Shot{{At: cue.At, Cues: []Firing{cue}, Count: Counts}}, Warned: true})
		default:
			n := counts(cue.At)
			warned := n == Counts && cue.At >= WarnAhead
			all = append(all, Series{Shots: []Shot{{At: cue.At, Cues: []Firing{cue}, Count: n}}, Warned: warned})
		}
		word = cue.At
	}
	return all
}

// counts is how many counts, one a second, have room in d before a word.
func counts(d time.Duration) int { return int(min(max(d/time.Second, 0), Counts)) }
