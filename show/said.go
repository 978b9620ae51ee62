package show

import (
	"errors"
	"fmt"
	"slices"
)

// A Saw is what somebody at the console, or of the crew, says that a cue did. Its text is
// the word for it in logs. That a cue was commanded is no such thing: nobody says it.
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
	By       string // a member of the crew, with their role; empty: whoever is at the console
}

// Sayings are what was said of the cues of a run so far. The zero Sayings is nothing. A
// copy stays as it is.
type Sayings struct {
	of [][]voice // by cue
}

// A voice is what one person last said of a cue.
type voice struct {
	by  string
	saw Saw
	own bool // of the cue by itself, not of its position
}

// Of is what was said of cue i. Everybody's last word counts, and where they disagree
// the graver one: a dud that one saw stays a dud, though another saw something go.
func (s Sayings) Of(i int) Saw {
	saw := NobodySaid
	for _, v := range s.voices(i) {
		if v.saw == DidNotGo || saw == NobodySaid {
			saw = v.saw
		}
	}
	return saw
}

// Who are those who say that of cue i: a Saying's By, in the order in which they first
// said anything of it.
func (s Sayings) Who(i int, saw Saw) (by []string) {
	for _, v := range s.voices(i) {
		if v.saw == saw {
			by = append(by, v.by)
		}
	}
	return by
}

func (s Sayings) voices(i int) []voice {
	if i >= len(s.of) {
		return nil
	}
	return s.of[i]
}

// With returns the sayings with one more. cues is how many the plan has, at is the
// position of each, and fired tells which have been commanded: of others there is
// nothing to say, for they are still loaded. changed is how many cues it was said of.
// The error is for whoever said it.
func (s Sayings) With(w Saying, cues int, at func(i int) string, fired func(i int) bool) (next Sayings, changed int, err error) {
	next = Sayings{append(slices.Clone(s.of), make([][]voice, cues-len(s.of))...)}
	if w.Position == "" {
		if w.Cue < 0 || w.Cue >= cues {
			return s, 0, errors.New("there is no such cue")
		}
		if !fired(w.Cue) {
			return s, 0, ErrNotCommanded
		}
		if v := s.voices(w.Cue); w.Saw == NobodySaid && len(v) > 0 && !slices.ContainsFunc(v, w.mine) {
			return s, 0, fmt.Errorf("%s said it, and that stands until the search", Clean(v[0].by))
		}
		next.of[w.Cue] = w.among(next.of[w.Cue])
		return next, 1, nil
	}
	known := false
	for i := range cues {
		if at(i) != w.Position {
			continue
		}
		if known = true; fired(i) && !slices.ContainsFunc(next.of[i], func(v voice) bool { return v.own }) {
			next.of[i] = w.among(next.of[i])
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

// ErrNotCommanded is the error of a saying of a cue that was not commanded.
var ErrNotCommanded = errors.New("it was not commanded: still loaded, treat as live")

func (w Saying) mine(v voice) bool { return v.by == w.By }

// among returns a cue's voices with the saying in the place of what its speaker said
// before, or without that where it is taken back.
func (w Saying) among(voices []voice) []voice {
	voices = slices.Clone(voices)
	if w.Saw == NobodySaid {
		return slices.DeleteFunc(voices, w.mine)
	}
	v := voice{w.By, w.Saw, w.Position == ""}
	if i := slices.IndexFunc(voices, w.mine); i >= 0 {
		voices[i] = v
		return voices
	}
	return append(voices, v)
}
