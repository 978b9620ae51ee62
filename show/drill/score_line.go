package drill

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A scorer measures one run.
type scorer struct {
	*run
	x      *Exercise
	field  *session.FieldRun // nil when there was no field board
	header *session.Header
}

// result is the result without what was measured.
func (s *scorer) result(h *session.Header) *Result {
	d := s.x.Drill
	res := &Result{Drill: text(d.Name), Title: text(d.Title), Level: d.Level, Show: text(h.Title), Person: text(h.Person),
		Seed: s.x.Seed, Began: h.Began, Run: s.number, Finished: s.finished, Ended: s.ended,
		Good: paragraphs(d.Good), Why: paragraphs(d.Why)}
	last := s.events[len(s.events)-1]
	res.Length = max(0, last.Wall.Sub(s.started))
	for i := range s.events {
		switch e := &s.events[i]; {
		case e.is(show.Hold):
			res.Holds = append(res.Holds, Span{s.since(e), res.Length})
		case e.is(show.Resume) && len(res.Holds) > 0:
			res.Holds[len(res.Holds)-1].To = s.since(e)
		}
	}
	return res
}

// textLimit bounds, in characters, what is repeated of one text of a file.
const textLimit = 300

func text(s string) string { return show.Shorten(s, textLimit) }

// paragraphs splits a text of several lines where a line is empty.
func paragraphs(s string) []string {
	var out []string
	for p := range strings.SplitSeq(strings.ReplaceAll(s, "\r\n", "\n"), "\n\n") {
		if p = strings.Join(strings.Fields(show.Clean(p)), " "); p != "" {
			out = append(out, p)
		}
	}
	return out
}

// since is when an event was, from the start.
func (s *scorer) since(e *event) time.Duration { return e.Wall.Sub(s.started) }

// music is the moment of music of a frame.
func (s *scorer) music(f timebase.Frame) time.Duration { return f.At(s.plan.Rate) }

// A finding is what a measure came to, with the words for it.
type finding struct {
	value Value
	says  string
	out   bool // it does not apply
}

func found(v Value, format string, a ...any) finding {
	return finding{v, fmt.Sprintf(format, a...), false}
}

func never(format string, a ...any) finding { return found(Endless(), format, a...) }

func leftOut(format string, a ...any) finding {
	return finding{0, fmt.Sprintf(format, a...), true}
}

// line measures m.
func (s *scorer) line(m Measure) Line {
	f := s.find(m)
	m.Kind, m.Step = Kind(text(string(m.Kind))), text(m.Step)
	l := Line{Measure: m, Value: f.value, Says: f.says}
	if f.out {
		l.Grade = LeftOut
		return l
	}
	l.Grade = m.grade(f.value)
	if w := m.Threshold(l.Grade); w != "" {
		l.Says += "; " + w
	}
	return l
}

// find measures m. A measure that starts from a step looks at the first time
// that step came.
func (s *scorer) find(m Measure) finding {
	if f, ok := s.findBoard(m.Kind); ok {
		return f
	}
	if measure, ok := fieldMeasures[m.Kind]; ok {
		return measure(s)
	}
	if measure, ok := closeMeasures[m.Kind]; ok {
		return measure(s)
	}
	if s.unforbiddenCut() {
		return leftOut("the run was cut, which nothing forbade")
	}
	if measure, ok := freeMeasures[m.Kind]; ok {
		return measure(s)
	}
	call := s.called(m.Step)
	switch m.Kind { // what came too early needs no call to be seen
	case EarlyResumes:
		return s.earlyResumes(m.Step, call)
	case EarlyArms:
		return s.earlyArms(m.Step, call)
	}
	measure, ok := stepMeasures[m.Kind]
	switch {
	case !ok:
		return leftOut("this drylane does not know the measure %q", text(string(m.Kind)))
	case call < 0:
		return s.missing(m.Step)
	}
	return measure(s, call)
}

var freeMeasures = map[Kind]func(*scorer) finding{
	UnclearResumes:  (*scorer).unclearResumes,
	WrongStandDowns: (*scorer).wrongStandDowns,
	WrongFirstNudge: (*scorer).wrongFirstNudge,
	StepsToATenth:   (*scorer).stepsToATenth,
	Residual:        (*scorer).residual,
	NeedlessNudges:  (*scorer).needlessNudges,
	NeedlessHolds:   (*scorer).needlessHolds,
	NeedlessCuts:    (*scorer).needlessCuts,
}

// The measures that start from a step take its place in the run.
var stepMeasures = map[Kind]func(s *scorer, call int) finding{
	TimeToHold:       (*scorer).timeToHold,
	CuesAfterCall:    (*scorer).cuesAfterCall,
	TimeToResume:     (*scorer).timeToResume,
	TimeToCut:        (*scorer).timeToCut,
	TimeToStandDown:  (*scorer).timeToStandDown,
	TimeToGoOnSilent: (*scorer).timeToGoOn,
	TimeToNoGo:       (*scorer).timeToNoGo,
}

// called returns the place of the first event that is the step, or -1.
func (s *scorer) called(step string) int {
	return s.first(0, func(e *event) bool { return e.call() && e.Data.Step == step })
}

// first returns the place of the first event from from on that is so, or -1.
func (s *scorer) first(from int, so func(*event) bool) int {
	for i := from; i < len(s.events); i++ {
		if so(&s.events[i]) {
			return i
		}
	}
	return -1
}

// missing says why a step did not come, and what that means for a measure.
//
// It is left out when chance kept the step out of this exercise, when the drill was
// over before it was due, or when a cut had answered a call: a cut that is right
// costs nothing. It is poor when the step waited for
// something that the trainee did not do, or the run was left: otherwise who
// does nothing would be measured by less, and score better, than who is slow.
func (s *scorer) missing(step string) finding {
	name := text(step)
	switch {
	case !s.drawn(step):
		return leftOut("%q was not part of this exercise", name)
	case s.rightlyCut() && !follows(s.x.Steps, named(s.x.Steps, step), show.Cut.String()):
		return leftOut("the show was cut, and rightly, before %q came", name)
	}
	if deed := s.waitsFor(step); deed != "" {
		return never("%q waits for %s, which never came", name, deed)
	}
	if !s.finished {
		return never("%q had not come when the run ended", name)
	}
	return leftOut("the drill was over before %q came", name)
}

// drawn reports whether the exercise has the step.
func (s *scorer) drawn(step string) bool {
	return slices.ContainsFunc(s.x.Steps, func(st Step) bool { return st.Name == step })
}

// awaited are what a step may wait for, besides another step.
var awaited = map[string]struct {
	act  show.Action
	name string
}{
	"arm": {show.Arm, "the arming"}, "start": {show.Start, "the start"}, "hold": {show.Hold, "a hold"},
	"resume": {show.Resume, "a resume"}, afterRestart: {show.Start, "a new start"}, "stand down": {show.StandDown, "a standing down"}, "cut": {show.Cut, "a cut"},
}

// waitsFor names what the trainee did not do that the step waits for, by
// itself or through other steps; nothing if it was done.
func (s *scorer) waitsFor(step string) string {
	after := map[string]string{}
	for _, st := range s.x.Steps {
		after[st.Name] = st.When.After
	}
	for range s.x.Steps { // a circle must end, too
		trigger := after[step]
		if d, ok := awaited[trigger]; ok {
			from := 0
			if trigger == afterRestart {
				from = max(0, s.first(0, func(e *event) bool { return e.is(show.Cut) }))
			}
			if s.first(from, func(e *event) bool { return e.is(d.act) }) < 0 {
				return d.name
			}
			return ""
		}
		if _, ok := after[trigger]; !ok || s.called(trigger) >= 0 {
			return ""
		}
		step = trigger
	}
	return ""
}
