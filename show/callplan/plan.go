// Package callplan lays out what is called to a position that a person fires:
// for each cue a warning that names it, a count, and the word. Crew sheets are
// printed and call tracks are made from the same plan, so that what is on one is
// on the other.
//
// Times are those of the soundtrack: a track of calls does not follow a nudge.
// What is said, and when, is common practice, no source; the procedure of a show
// is that of the operator in charge.
package callplan

import (
	"cmp"
	"slices"
	"time"

	"drylane/show"
)

// The rules by which calls are laid out.
const (
	// Room is the quiet that a call of its own needs between the cue before it
	// and its own word. A cue with less joins the series of the one before.
	Room = 8 * time.Second
	// WarnAhead is how long before the first word its warning begins, more by
	// whole seconds up to WarnMost where it has much to name and there is quiet
	// for it, and WarnEnd how long before the first count it is over.
	WarnAhead = 7 * time.Second
	WarnMost  = 12 * time.Second
	WarnEnd   = 500 * time.Millisecond
	// Counts is how many are counted before a word, one a second.
	Counts = 3
	// Near is the spacing that a word of its own needs: a cue that ignites
	// sooner after the one before it is called as one group with it.
	Near = 700 * time.Millisecond
	// AsOne is how long after the word a person still fires on it. What of a
	// group ignites later is fired on sight of what went before.
	AsOne = 200 * time.Millisecond
)

// A Cue is one cue that is called.
type Cue struct {
	ID string
	At time.Duration // of its ignition
}

// A Shot is one word and the group of cues that is called by it.
type Shot struct {
	At    time.Duration // of the word
	Cues  []Cue         // by time; the first ignites on the word
	Count int           // how many counts fit before the word, 0 to Counts
}

// OnWord and OnSight are the two parts of a group: what is fired on the word,
// and what is fired as the one before it is seen.
func (s Shot) OnWord() []Cue  { return s.Cues[:s.onWord()] }
func (s Shot) OnSight() []Cue { return s.Cues[s.onWord():] }

func (s Shot) onWord() int {
	n := 1
	for n < len(s.Cues) && s.Cues[n].At-s.At <= AsOne {
		n++
	}
	return n
}

// End is when the last cue of the group ignites.
func (s Shot) End() time.Duration { return s.Cues[len(s.Cues)-1].At }

// Counted is when the first count is said, or the word where there is none.
func (s Shot) Counted() time.Duration { return s.At - time.Duration(s.Count)*time.Second }

// A Series is the shots under one warning.
type Series struct {
	Shots []Shot
	// Ahead is how long before the first word the warning begins, and Warning
	// its words; 0 and empty where there is no time for one.
	Ahead   time.Duration
	Warning string

	words show.CallWords
}

// Cues lists the cues of a series, in order.
func (s Series) Cues() []Cue {
	var cues []Cue
	for _, shot := range s.Shots {
		cues = append(cues, shot.Cues...)
	}
	return cues
}

// Begin is when the first of all that is said for the series begins.
func (s Series) Begin() time.Duration {
	if s.Ahead > 0 {
		return s.Shots[0].At - s.Ahead
	}
	return s.Shots[0].Counted()
}

// A Plan is all that is called on one track, by time.
type Plan []Series

// Lay lays out the calls for cues, which come in any order, from 0 on, in these
// words:
//
//   - A cue less than Near after the one before it joins its group: one word for
//     all of them.
//   - A word with Room or more before it begins a series, with a warning that
//     names all cues of it and the full count.
//   - Each other word follows in the series before. It has as many counts as
//     fit a second and more after the cue before it, perhaps none.
//   - Before the first word of all only what fits after 0 is said.
func Lay(cues []Cue, words show.CallWords) Plan {
	cues = slices.Clone(cues)
	slices.SortStableFunc(cues, func(a, b Cue) int { return cmp.Compare(a.At, b.At) })
	var all Plan
	for i, cue := range cues {
		gap := cue.At - cues[max(i-1, 0)].At
		switch {
		case i == 0:
			all = append(all, Series{Shots: []Shot{{cue.At, []Cue{cue}, counts(cue.At)}}})
		case gap < Near:
			shot := &all.last().Shots[len(all.last().Shots)-1]
			shot.Cues = append(shot.Cues, cue)
		case gap < Room:
			all.last().Shots = append(all.last().Shots, Shot{cue.At, []Cue{cue}, counts(gap - time.Second)})
		default:
			all = append(all, Series{Shots: []Shot{{cue.At, []Cue{cue}, Counts}}})
		}
	}
	quiet := time.Duration(0) // from where on a warning may be said
	for i := range all {
		s := &all[i]
		s.words = words
		s.warn(s.Shots[0].At - quiet)
		quiet = s.Shots[len(s.Shots)-1].End() + time.Second
	}
	return all
}

func (p Plan) last() *Series { return &p[len(p)-1] }

// counts is how many counts, one a second, have room in d before a word.
func counts(d time.Duration) int { return int(min(max(d/time.Second, 0), Counts)) }
