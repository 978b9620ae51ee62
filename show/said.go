package show

import (
	"errors"
	"fmt"
	"slices"
)

// A Saw is what somebody at the console says that a cue did. Its text is the word for
// it in logs. That a cue was commanded is no such thing: nobody says it.
type Saw string

// What can be said of a cue.
const (
	NobodySaid  Saw = ""
	SeenOrHeard Saw = "seen or heard"
	DidNotGo    Saw = "did not go" // a dud, by eye or ear
)

func (s Saw) String() string {
	if s == NobodySaid {
		return "nobody said"
	}
	return string(s)
}

// A Saying is one thing said: of a cue or, with a Position, of all that was commanded
// there by then and of which nobody has said anything by itself.
type Saying struct {
	Saw      Saw
	Cue      int    // index in the plan; not looked at with a Position
	Position string // empty: it is said of the cue
}

// Sayings are what was said of the cues of a run so far. The zero Sayings is nothing. A
// copy stays as it is.
type Sayings struct {
	of  []Saw // by cue; nil: nothing was said
	own []bool
}

// Of is what was last said of cue i.
func (s Sayings) Of(i int) Saw {
	if i >= len(s.of) {
		return NobodySaid
	}
	return s.of[i]
}

// With returns the sayings with one more. cues is how many the plan has, at is the
// position of each, and fired tells which have been commanded: of others there is
// nothing to say, for they are still loaded. changed is how many cues it was said of.
// The error is for whoever said it.
func (s Sayings) With(w Saying, cues int, at func(i int) string, fired func(i int) bool) (next Sayings, changed int, err error) {
	next = Sayings{append(slices.Clone(s.of), make([]Saw, cues-len(s.of))...), append(slices.Clone(s.own), make([]bool, cues-len(s.own))...)}
	if w.Position == "" {
		if w.Cue < 0 || w.Cue >= cues {
			return s, 0, errors.New("there is no such cue")
		}
		if !fired(w.Cue) {
			return s, 0, errors.New("it was not commanded: still loaded, treat as live")
		}
		next.of[w.Cue], next.own[w.Cue] = w.Saw, w.Saw != NobodySaid
		return next, 1, nil
	}
	known := false
	for i := range cues {
		if at(i) != w.Position {
			continue
		}
		if known = true; fired(i) && !next.own[i] {
			next.of[i] = w.Saw
			changed++
		}
	}
	switch {
	case !known:
		return s, 0, fmt.Errorf("no cue has the position %s", Quote(w.Position))
	case changed == 0:
		return s, 0, fmt.Errorf("at %s nothing was commanded of which nobody has said anything", Clean(w.Position))
	}
	return next, changed, nil
}
