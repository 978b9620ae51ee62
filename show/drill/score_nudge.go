package drill

import (
	"time"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

const (
	// halfPress is half a step of the nudge. Where less is wanted, no nudge is.
	halfPress = 50 * time.Millisecond
	// tenth is how near a nudge has to be. A cue list is in whole milliseconds,
	// so what is wanted may come out one beside it.
	tenth = 100*time.Millisecond + time.Millisecond
)

// presses are the nudges that changed something.
func (s *scorer) presses() []*event {
	var out []*event
	for i := range s.events {
		if e := &s.events[i]; e.is(show.Nudge) && e.was != e.asked {
			out = append(out, e)
		}
	}
	return out
}

// at is the moment of music at which an event was.
func (s *scorer) at(e *event) time.Duration { return s.music(timebase.Frame(e.Heard)) }

// wrongFirstNudge is 1 when the first press moved the cues away from where
// they were wanted at that moment, or where no nudge was wanted; and when none
// came though one of half a press or more was wanted at the start or the end.
func (s *scorer) wrongFirstNudge() finding {
	presses := s.presses()
	if len(presses) == 0 && s.cutInstead() {
		return leftOut("the show was cut, and rightly, before a nudge came")
	}
	if len(presses) == 0 {
		at := max(s.x.Wanted(0).Abs(), s.x.Wanted(s.music(s.heard)).Abs())
		if at >= halfPress {
			return found(1, "no nudge came, and one was wanted")
		}
		return found(0, "no nudge came, and none was wanted")
	}
	first := presses[0]
	want := s.x.Wanted(s.at(first)) - first.was
	step := first.asked - first.was
	switch {
	case want == 0:
		return found(1, "the first nudge went %s, and none was wanted", way(step))
	case (want > 0) != (step > 0):
		return found(1, "the first nudge went %s, and %s was wanted", way(step), way(want))
	}
	return found(0, "the first nudge went %s, as wanted", way(step))
}

func way(nudge time.Duration) string {
	if nudge > 0 {
		return "EARLIER"
	}
	return "LATER"
}

// stepsToATenth counts the presses from when the nudge in hand was first more
// than a tenth of a second off what was wanted until it first was within it
// again; 0 when it was never off. What is wanted changes evenly between two
// presses, so that looking at both ends of the time between them is enough.
func (s *scorer) stepsToATenth() finding {
	var from, nudge time.Duration
	n, off := 0, false
	presses := s.presses()
	for i := range len(presses) + 1 {
		to := s.music(s.heard)
		if i < len(presses) {
			to = s.at(presses[i])
		}
		a, b := s.x.Wanted(from)-nudge, s.x.Wanted(to)-nudge
		if off && a.Abs() <= tenth || (off || a.Abs() > tenth) && (b.Abs() <= tenth || (a > 0) != (b > 0)) {
			return found(Value(n), "within a tenth of a second after %s", words.Count(n, "press"))
		}
		off = off || a.Abs() > tenth || b.Abs() > tenth
		if i == len(presses) {
			break
		}
		if off {
			n++
		}
		from, nudge = to, presses[i].asked
	}
	if off && s.cutInstead() {
		return leftOut("the show was cut, and rightly, before the nudge was right")
	}
	if off {
		return never("the nudge never came within a tenth of a second of what was wanted")
	}
	return found(0, "the nudge was never more than a tenth of a second off")
}

// residual is how far the nudge that was asked for at the end of the run was
// off what was wanted there.
func (s *scorer) residual() finding {
	if s.cutInstead() {
		return leftOut("the show was cut, and rightly")
	}
	asked := s.events[len(s.events)-1].asked
	want := s.x.Wanted(s.music(s.heard))
	v := seconds((asked - want).Abs())
	return found(v, "ended at %s, where %s was wanted", words.Nudge(asked), words.Nudge(want))
}

// needlessNudges counts the presses at moments where less than half a press
// was wanted, whatever the nudge was by then.
func (s *scorer) needlessNudges() finding {
	n := 0
	for _, e := range s.presses() {
		if s.x.Wanted(s.at(e)).Abs() < halfPress {
			n++
		}
	}
	if n == 0 {
		return found(0, "no nudge came where none was wanted")
	}
	return found(Value(n), "%s where no nudge was wanted", words.Count(n, "press"))
}
