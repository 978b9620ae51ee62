package drill

import (
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/board"
	"drylane/show/session"
)

// boardMeasures look at the field board as it was answered when the show was first
// armed: what came of the run afterwards, a cut above all, changes nothing of it.
var boardMeasures = map[Kind]func(s *scorer, a board.Account) finding{
	FaultsMissed: func(_ *scorer, a board.Account) finding {
		return among(a, "not marked", func(f board.Found) bool { return !f.Marked && !f.Right })
	},
	FaultsMisnamed: func(_ *scorer, a board.Account) finding {
		if !slices.ContainsFunc(a.Found, func(f board.Found) bool { return f.Marked }) {
			return leftOut("no fault was marked")
		}
		return among(a, "marked by another name", func(f board.Found) bool { return f.Marked && !f.Right })
	},
	FaultsLeft: func(_ *scorer, a board.Account) finding {
		return among(a, "still there when the show was armed", func(f board.Found) bool { return f.Open })
	},
	TimeToFind:    func(_ *scorer, a board.Account) finding { return timeToFind(a) },
	FalseMarks:    func(_ *scorer, a board.Account) finding { return listed(a.False, "marked with nothing wrong") },
	NeedlessWalks: func(_ *scorer, a board.Account) finding { return listed(a.Needless, "somebody was sent for nothing") },
}

// findBoard measures the field board. ok is false for the measures of something else.
func (s *scorer) findBoard(k Kind) (f finding, ok bool) {
	measure, ok := boardMeasures[k]
	switch {
	case !ok:
		return f, false
	case s.field == nil:
		return leftOut("this run had no field board"), true
	}
	return measure(s, s.field.Account()), true
}

// among counts the faults that are so.
func among(a board.Account, what string, so func(board.Found) bool) finding {
	if len(a.Found) == 0 {
		return leftOut("nothing was wrong in the field")
	}
	var list []string
	for _, f := range a.Found {
		if so(f) {
			list = append(list, f.Device)
		}
	}
	return listed(list, what)
}

// listed counts devices of which something is said.
func listed(devices []string, what string) finding {
	if len(devices) == 0 {
		return found(0, "none")
	}
	return found(Value(len(devices)), "%s: %s", what, text(strings.Join(devices, ", ")))
}

// timeToFind is from the opening of the board to the first mark of the last fault. One
// that righted itself unmarked was not to be found.
func timeToFind(a board.Account) finding {
	var last time.Duration
	looked := false
	for _, f := range a.Found {
		switch {
		case f.Marked:
			last, looked = max(last, f.At), true
		case !f.Right:
			return never("%s was not marked", text(f.Device))
		}
	}
	if !looked {
		return leftOut("nothing was wrong in the field")
	}
	v := seconds(last)
	return found(v, "the last was marked %s s after the board was opened", v.text())
}

// atBoard reports whether the entry tells of the field board.
func (e *event) atBoard() bool {
	switch e.Kind {
	case session.KindMarked, session.KindSentOut, session.KindBack, session.KindAnswered, session.KindEntered:
		return true
	}
	return e.refusedFor(show.CauseSomebodyOut, show.CauseWithoutGo, show.CauseNoGo, show.CauseWaiting)
}

// describeBoard says whose doing it was, and what.
func describeBoard(e *event, says string) (MomentKind, string) {
	switch e.Kind {
	case session.KindMarked:
		return IsAction, "marked " + says
	case session.KindSentOut:
		return IsAction, "sent somebody " + says
	}
	return IsRun, "somebody is back " + says
}

// boardMoments tell of each fault in the field, as they stand at the head of a timeline.
func (s *scorer) boardMoments() (out []Moment) {
	if s.field == nil {
		return nil
	}
	for _, f := range s.field.Account().Found {
		out = append(out, Moment{Since: s.since(&s.events[0]), Kind: IsFault, Text: text(f.String()), Answer: -1})
	}
	return out
}
