package drill

import (
	"slices"

	"drylane/show"
	"drylane/show/words"
)

// timeToCut is the wall time from the call to the first cut after it.
func (s *scorer) timeToCut(call int) finding {
	at := s.first(call, func(e *event) bool { return e.is(show.Cut) })
	if at < 0 {
		return never("no cut answered the call")
	}
	v := s.gap(call, at)
	return found(v, "cut %s s after the call", v.text())
}

// needlessCuts counts the cuts while no call stood that a cut answers, and a run
// that was left before its end.
func (s *scorer) needlessCuts() finding {
	n := 0
	for _, i := range s.cuts() {
		if !s.stands(s.x.Drill, i) {
			n++
		}
	}
	switch {
	case n > 0:
		return found(Value(n), "cut %s with no call for it, where the briefing forbids it", words.Times(n))
	case !s.finished && s.ended != "cut":
		return found(1, "the run was left before its end")
	}
	return found(0, "the run was not given up")
}

// rightlyCut reports whether a cut, where a call stood for it, came in place of all
// that would have followed: in a drill that goes on after the cut, of all but what
// follows the cut.
func (s *scorer) rightlyCut() bool {
	return slices.ContainsFunc(s.cuts(), func(i int) bool { return s.stands(s.x.Drill, i) })
}

// cutInstead reports whether a cut ended the run where a hold was called for and no
// cut: what else was in hand then is nobody's fault.
func (s *scorer) cutInstead() bool {
	if !s.finished || s.ended != "cut" {
		return false
	}
	return s.first(0, func(e *event) bool { return e.wants(WantCut) }) < 0
}

// cuts are the places of the trainee's cuts.
func (s *scorer) cuts() []int {
	var at []int
	for i := range s.events {
		if e := &s.events[i]; e.is(show.Cut) && !e.outside() {
			at = append(at, i)
		}
	}
	return at
}

// unforbiddenCut reports whether the run ended with a cut that nothing called for
// and nothing forbade. Such a run loses no marks, and shows nothing to mark.
func (s *scorer) unforbiddenCut() bool {
	d := s.x.Drill
	forbids := slices.ContainsFunc(d.Measures, func(m Measure) bool { return m.Kind == NeedlessCuts }) ||
		slices.ContainsFunc(d.Steps, func(st Step) bool { return st.NoCut })
	return !s.finished && s.ended == "cut" && !forbids
}

// asked returns the group that a step asks to stand down: as the drill has it,
// or as the log does for a call by hand.
func (s *scorer) asked(e *event) show.Group {
	for _, st := range s.x.Drill.Steps {
		if st.Name == e.Data.Step && st.Wants == WantStandDown && st.Of != (show.Group{}) {
			return st.Of
		}
	}
	return e.Data.Group()
}

// timeToStandDown is the wall time from the call until nothing of the group
// that it asks for is left to fire: it is stood down itself, or every cue of
// it that has yet to come is, by other groups. 0 when it was so already.
func (s *scorer) timeToStandDown(call int) finding {
	group := s.asked(&s.events[call])
	name := text(group.Name)
	if s.plan.Group(group) < 0 {
		return leftOut("no cue has that %s: %q", text(group.By), name)
	}
	for i := call; i >= 0; i-- { // as it was when the call came
		if t := s.events[i].t; t != nil {
			if allDown(t, group) {
				return found(0, "%s was stood down already", name)
			}
			break
		}
	}
	for i := call; i < len(s.events); i++ {
		if t := s.events[i].t; t != nil && allDown(t, group) {
			v := s.gap(call, i)
			return found(v, "%s stood down %s s after the call", name, v.text())
		}
	}
	if s.cutInstead() {
		return leftOut("the show was cut, and rightly, before %s was stood down", name)
	}
	return never("%s was not stood down", name)
}

// allDown reports whether the group is stood down, or all that is left of it.
func allDown(t *show.Transport, group show.Group) bool {
	p := t.Plan()
	g := p.Group(group)
	if t.GroupDown(g) {
		return true
	}
	left := 0
	for i := t.Next(); i < len(p.Cues); i++ {
		if p.In(i, g) {
			left++
			if !t.Down(i) {
				return false
			}
		}
	}
	return left > 0
}

// wrongStandDowns counts the groups stood down that hold a cue outside what
// the calls of the run asked for, each group once. To stand the right group
// down before it is called is no mistake.
func (s *scorer) wrongStandDowns() finding {
	var asked []int
	for i := range s.events {
		if e := &s.events[i]; e.wants(WantStandDown) {
			if g := s.plan.Group(s.asked(e)); g >= 0 {
				asked = append(asked, g)
			}
		}
	}
	judged := map[show.Group]bool{}
	n, names := 0, ""
	for i := range s.events {
		e := &s.events[i]
		group := e.Data.Group()
		if !e.is(show.StandDown) || judged[group] {
			continue
		}
		judged[group] = true
		if !s.within(s.plan.Group(group), asked) {
			if n++; n <= 3 {
				names += ", " + text(group.Name)
			}
		}
	}
	if n == 0 {
		return found(0, "nothing was stood down that nobody asked for")
	}
	return found(Value(n), "%s stood down that nobody asked for: %s", words.Count(n, "group"), names[2:])
}

// within reports whether every cue of group g is in one of the others.
func (s *scorer) within(g int, others []int) bool {
	for i := range s.plan.Cues {
		if !s.plan.In(i, g) {
			continue
		}
		in := false
		for _, o := range others {
			in = in || s.plan.In(i, o)
		}
		if !in {
			return false
		}
	}
	return true
}
