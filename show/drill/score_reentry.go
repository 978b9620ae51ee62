package drill

import (
	"fmt"
	"math"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/reentry"
	"drylane/show/timebase"
	"drylane/show/words"
)

// closeMeasures look at starts from a place, and at what was said of cues.
var closeMeasures = map[Kind]func(s *scorer) finding{
	TornReentries: (*scorer).tornReentries,
	CuesLeftOut:   (*scorer).cuesLeftOut,
	DudsUnmarked:  (*scorer).dudsUnmarked,
	FalseDuds:     (*scorer).falseDuds,
}

// reentries are the places that the show was started again from.
func (s *scorer) reentries() (at []time.Duration) {
	for i := range s.events {
		if e := &s.events[i]; e.is(show.Arm) && e.Data.At != nil {
			at = append(at, timebase.Frame(*e.Data.At).At(s.plan.Rate))
		}
	}
	return at
}

func (s *scorer) tornReentries() finding {
	at := s.reentries()
	if len(at) == 0 {
		return never("the show was not started again from a place")
	}
	sh := s.listOf()
	var torn []string
	for _, t := range at {
		if what := reentry.Torn(sh, t); what != "" {
			torn = append(torn, fmt.Sprintf("at %s inside %s", timebase.ClockMillis(t), what))
		}
	}
	if len(torn) == 0 {
		return found(0, "started again where nothing was torn in two")
	}
	return found(Value(len(torn)), "started again %s", text(strings.Join(torn, "; ")))
}

// listOf is the cue list of the run, as its log has it.
func (s *scorer) listOf() *show.Show {
	sh := new(show.Show)
	for _, c := range s.header.Cues {
		ms := func(n int64) time.Duration { return time.Duration(n) * time.Millisecond }
		sh.Cues = append(sh.Cues, show.Cue{ID: c.ID, EffectAt: ms(c.EffectMS), Prefire: ms(c.PreMS), Burn: ms(c.BurnMS), Position: c.Position})
	}
	for _, name := range s.header.ByHand {
		sh.Positions = append(sh.Positions, show.Position{Name: name, HandFired: true})
	}
	return sh
}

func (s *scorer) cuesLeftOut() finding {
	if len(s.reentries()) == 0 {
		return never("the show was not started again from a place")
	}
	n := 0
	for i := range s.plan.Cues {
		if s.last.Out(i) && !s.last.Fired(i) {
			n++
		}
	}
	if n == 0 {
		return found(0, "none")
	}
	return found(Value(n), "%s still loaded at the end, passed over by a start from a place", words.Count(n, "cue"))
}

// A cueEnd is what a run did with a cue, and what was said of it.
type cueEnd struct {
	fired, dud bool
	said       show.Saw
}

// ends goes through the run and tells what became of each cue.
func (s *scorer) ends() []cueEnd {
	list := make([]cueEnd, len(s.plan.Cues))
	var faults Faults
	var said show.Sayings
	for i := range s.events {
		e := &s.events[i]
		if e.call() {
			faults.Take(Deed(e.Data.Do), e.Data.Group())
		}
		if k := e.Data.Index; e.Kind == show.EventFired.String() && k != nil {
			list[*k].fired, list[*k].dud = true, s.dead(&faults, *k)
		}
		if w, ok := e.Saying(); ok {
			next, _, err := said.With(w, len(list), func(i int) string { return s.header.Cues[i].Position }, func(i int) bool { return list[i].fired })
			if err == nil { // else it is of another run of the session
				said = next
			}
		}
	}
	for i := range list {
		list[i].said = said.Of(i)
	}
	return list
}

// dead reports whether a fault keeps what cue i lights from going off.
func (s *scorer) dead(f *Faults, i int) bool {
	for _, g := range f.Groups(Dead) {
		if g == (show.Group{}) || s.plan.In(i, s.plan.Group(g)) {
			return true
		}
	}
	return false
}

func (s *scorer) dudsUnmarked() finding {
	var list []string
	duds := 0
	for i, c := range s.ends() {
		if !c.dud {
			continue
		}
		if duds++; c.said != show.DidNotGo {
			list = append(list, s.header.Cues[i].ID)
		}
	}
	switch {
	case duds == 0:
		return leftOut("nothing failed to go")
	case len(list) == 0:
		return found(0, "all %d were told", duds)
	}
	// A share, so that who goes on sooner, and sees more of them, is not worse off.
	part := Value(math.Ceil(100 * float64(len(list)) / float64(duds)))
	return found(part, "of %s nobody said so: %s", words.Count(duds, "dud"), text(strings.Join(list, ", ")))
}

func (s *scorer) falseDuds() finding {
	var list []string
	for i, c := range s.ends() {
		if c.said == show.DidNotGo && !c.dud {
			list = append(list, s.header.Cues[i].ID)
		}
	}
	if len(list) == 0 {
		return found(0, "none")
	}
	return found(Value(len(list)), "they went: %s", text(strings.Join(list, ", ")))
}
