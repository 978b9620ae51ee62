package drill

import (
	"drylane/show"
	"drylane/show/session"
	"drylane/show/words"
)

// allClear returns the place of the first step after the call that says the
// cause of the hold is gone, or the end of the run: what comes later does not
// answer the call.
func (s *scorer) allClear(call int) int {
	if i := s.first(call+1, func(e *event) bool { return e.wants(WantResume) }); i >= 0 {
		return i
	}
	return len(s.events)
}

// stopped returns the place of the hold or cut that answers the call: the
// first before the all-clear. It is the call's own place when the show was
// held already, and -1 when nothing answers it.
func (s *scorer) stopped(call int) int {
	if s.events[call].state == show.Held {
		return call
	}
	i := s.first(call, func(e *event) bool { return e.is(show.Hold) || e.is(show.Cut) })
	if i >= s.allClear(call) {
		return -1
	}
	return i
}

// timeToHold is the wall time from the call to the first hold after it. A cut stops
// the show as well and answers the call, unless the drill forbids it. A show that is
// held already is held at once. What comes after the all-clear is too late to be an
// answer.
func (s *scorer) timeToHold(call int) finding {
	at := s.stopped(call)
	switch {
	case at < 0:
		return never("no hold answered the call")
	case at == call:
		return found(0, "the show was held already")
	}
	v := s.gap(call, at)
	switch e := &s.events[at]; {
	case e.is(show.Cut) && s.x.Drill.forbidsCut(&s.events[call]):
		return never("cut %s s after the call, where the briefing wants a hold and no cut", v.text())
	case e.is(show.Cut):
		return found(v, "cut %s s after the call, which stops the show as a hold does", v.text())
	case e.By == show.ByInstructor:
		return leftOut(trainerHeld)
	case e.outside():
		return found(v, "the console held by itself")
	}
	return found(v, "held %s s after the call", v.text())
}

// trainerHeld is why what the trainee would have done is not scored.
const trainerHeld = "a trainer held the show before the trainee did"

// gap is the wall time between two events.
func (s *scorer) gap(from, to int) Value {
	return seconds(s.events[to].Wall.Sub(s.events[from].Wall))
}

// cuesAfterCall counts the cues that fired after the call, up to the next hold
// or cut; up to the all-clear or the end of the run when there is none before
// it. Where the show was held already, only what is resumed against the call can
// fire. Cues skipped because they were stood down did not fire.
func (s *scorer) cuesAfterCall(call int) finding {
	end, until := s.allClear(call), "and nothing stopped them"
	if i := s.first(call, func(e *event) bool { return e.is(show.Hold) || e.is(show.Cut) }); i >= 0 && i < end {
		if s.events[i].By == show.ByInstructor {
			return leftOut(trainerHeld)
		}
		end, until = i, "before they were stopped"
	}
	n := 0
	for i := call; i < end; i++ {
		if s.events[i].Kind == show.EventFired.String() {
			n++
		}
	}
	if n == 0 {
		return found(0, "no cue fired after the call")
	}
	return found(Value(n), "%s fired after the call %s", words.Count(n, "cue"), until)
}

// timeToResume is the wall time to the first resume from when the call had come,
// nothing was up by the list of what was lit before the hold, and the last line of
// the checklist was ticked; 0 for one that did not wait for all that, which
// UnclearResumes counts. A show that ran when the call came was not waiting for it:
// nothing answers that call. When another call to hold comes before the resume, the
// show is to stay held and the measure is left out.
func (s *scorer) timeToResume(call int) finding {
	if s.events[call].state != show.Held {
		return never("the show was not held when the call came")
	}
	again := s.first(call+1, func(e *event) bool { return e.stops() })
	at := s.first(call+1, func(e *event) bool { return e.is(show.Resume) })
	switch {
	case again >= 0 && (at < 0 || again < at):
		return leftOut("another call to stay held came first")
	case at < 0 && s.rightlyCut():
		return leftOut("the show was cut, and rightly")
	case at < 0:
		return never("the show was not resumed")
	}
	from, what := s.events[call].Wall, "after the call"
	for i := at; i >= 0; i-- {
		switch e := &s.events[i]; {
		case e.Kind == session.KindTicked && e.Wall.After(from):
			from, what = e.Wall, "after the last line was ticked"
		case e.is(show.Hold):
			if clear := e.Wall.Add(e.up); clear.After(from) {
				from, what = clear, "after the list had nothing up"
			}
			i = 0 // of this hold alone
		}
	}
	v := seconds(s.events[at].Wall.Sub(from))
	return found(v, "resumed %s s %s", v.text(), what)
}

// earlyResumes counts the resumes before the step came, from the first thing
// on that it puts an end to: a call to hold or cut or the loss of the device
// since the all-clear before, else the last hold. It is never when no hold
// answered a call to hold: without a hold nothing can be resumed too early.
// Call is the step's place, -1 when it did not come: then what was resumed all
// the same counts, and without any the measure is like every other whose step
// is missing.
func (s *scorer) earlyResumes(step string, call int) finding {
	end := call
	if call < 0 {
		end = len(s.events)
	}
	from := s.cause(end)
	n := s.count(from, end, show.Resume)
	switch {
	case call < 0 && (n == 0 || !s.drawn(step)):
		return s.missing(step)
	case n > 0:
		return found(Value(n), "resumed %s before the call that the cause was gone", words.Times(n))
	case s.unanswered(from, end):
		return never("no hold answered the call, so there was nothing to resume")
	}
	return found(0, "nothing was resumed before the call")
}

// cause is the place of the first thing that the all-clear at end puts an end to.
func (s *scorer) cause(end int) int {
	from, hold := 0, 0
	for i := range s.events[:end] {
		switch e := &s.events[i]; {
		case e.wants(WantResume):
			from = i + 1
		case e.is(show.Hold):
			hold = i
		}
	}
	i := s.first(from, func(e *event) bool {
		return e.stops() || e.call() && Deed(e.Data.Do).row().holds
	})
	if i >= 0 && i < end {
		return i
	}
	return max(from, hold)
}

// unanswered reports whether a call to hold between two places got no hold.
func (s *scorer) unanswered(from, to int) bool {
	for i := from; i < to; i++ {
		if s.events[i].wants(WantHold) {
			if at := s.stopped(i); at < 0 || s.events[at].is(show.Cut) && s.x.Drill.forbidsCut(&s.events[i]) {
				return true
			}
		}
	}
	return false
}

// count is how many events between two places answer the action.
func (s *scorer) count(from, to int, a show.Action) int {
	n := 0
	for i := from; i < to; i++ {
		if s.events[i].is(a) {
			n++
		}
	}
	return n
}

// leftOpen says what a resume left open: effects still up by the list, or unknown to
// it, and lines of the checklist that were not ticked; nothing when nothing was.
// What a fault kept from going off counts as up: nobody at the console could know.
func (e *event) leftOpen() string {
	if open := e.Data.Open(); open.Any() {
		return open.Words()
	}
	if e.up > 0 { // a log that does not tell
		return "effects still up"
	}
	return ""
}

// unclearResumes counts the resumes that left something open. It is never when a
// call to hold got no answer or the run was left: not to go on is no care for the
// field. Not to resume is.
func (s *scorer) unclearResumes() finding {
	n, resumes, what := 0, 0, ""
	for i := range s.events {
		e := &s.events[i]
		if !e.is(show.Resume) {
			continue
		}
		resumes++
		if open := e.leftOpen(); open != "" {
			n++
			what = open
		}
	}
	called := s.first(0, func(e *event) bool { return e.wants(WantResume) }) >= 0
	switch {
	case n > 0:
		return found(Value(n), "resumed %s with something open, the last time: %s", words.Times(n), what)
	case resumes > 0:
		return found(0, "nothing was open at any resume")
	case s.rightlyCut():
		return leftOut("the show was cut, and rightly: nothing was resumed")
	case !s.finished || s.unanswered(0, len(s.events)):
		return never("nothing was resumed")
	case called:
		return leftOut("nothing was resumed")
	}
	return found(0, "there was nothing to resume")
}

// needlessHolds counts the holds that no call asked for: when they were made,
// no call to hold or to cut stood that had not been followed by an all-clear.
// The console's own holds, for want of sound, are nobody's, and a trainer's not the
// trainee's.
func (s *scorer) needlessHolds() finding {
	n, stands := 0, false
	for i := range s.events {
		switch e := &s.events[i]; {
		case e.stops():
			stands = true
		case e.wants(WantResume), e.wants(WantArm):
			stands = false
		case e.is(show.Hold) && !stands && !e.outside():
			n++
		}
	}
	if n == 0 {
		return found(0, "every hold had its call")
	}
	return found(Value(n), "held %s with no call for it: a cost to the show, and when in doubt the right thing", words.Times(n))
}

// timeToGoOn is the wall time from the loss of the sound device to the resume
// after it, on whatever there is to play on; 0 when the music did not stop.
func (s *scorer) timeToGoOn(call int) finding {
	held := s.events[call].state == show.Held || s.first(call, func(e *event) bool { return e.is(show.Hold) }) >= 0
	at := s.first(call, func(e *event) bool { return e.is(show.Resume) })
	switch {
	case !held:
		return found(0, "the music did not stop")
	case at < 0:
		return never("the music did not go on")
	}
	v := s.gap(call, at)
	return found(v, "the music went on %s s after the loss", v.text())
}

// earlyArms counts the armings before the field had reported ready, since the last
// cut or the opening.
func (s *scorer) earlyArms(step string, call int) finding {
	from, to := 0, call
	if call < 0 {
		to = len(s.events)
	}
	for i := range s.events[:to] {
		if s.events[i].is(show.Cut) {
			from = i
		}
	}
	n := s.count(from, to, show.Arm)
	again := follows(s.x.Steps, max(0, named(s.x.Steps, step)), show.Cut.String())
	switch {
	case call < 0 && (n == 0 || again && from == 0 || !s.drawn(step)):
		return s.missing(step)
	case n > 0:
		return found(Value(n), "armed %s before the field had reported ready", words.Times(n))
	case s.count(to, len(s.events), show.Arm) == 0:
		return never("the show was not armed when the field was ready")
	}
	return found(0, "armed when the field had reported ready")
}
