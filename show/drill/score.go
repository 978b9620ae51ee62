package drill

import (
	"errors"
	"math"
	"time"

	"drylane/show/session"
)

// A Result is how well one run of a drill was done. Its texts are clean and
// may be printed as they are.
type Result struct {
	Session string // the log's file, as people know it
	Drill   string // its name
	Title   string
	Level   int
	Seed    uint64
	Show    string // the show's title
	Person  string // may be empty
	Began   time.Time
	Run     int // which of the session's, from 1

	// Finished says that the drill was run to its end: over, played out or cut
	// where a cut was asked for. Ended says in words how it ended.
	Finished bool
	Ended    string

	// Score is from 0 to 100. It means nothing unless Scored: no measure
	// applied to this run.
	Score   int
	Scored  bool
	Lines   []Line
	Moments []Moment
	Length  time.Duration // from the start to the end of the run, by the wall clock
	Holds   []Span        // when the music stood still, since the start

	Good []string // what good looks like, by paragraph
	Why  []string
}

// A Line is what came of one measure.
type Line struct {
	Measure
	Value  Value
	Grade  Grade
	Points float64 // earned, of the 100 of the whole drill
	Of     float64 // that were to be had
	Says   string  // in plain words
}

// A Span is a stretch of wall time since the start.
type Span struct{ From, To time.Duration }

// A Value is what a measure came to, in its unit: seconds, to the hundredth,
// or a count. Less is better.
type Value float64

// Endless is the value of something that did not come at all.
func Endless() Value { return Value(math.Inf(1)) }

// Endless reports whether v is Endless().
func (v Value) Endless() bool { return math.IsInf(float64(v), 1) }

// seconds is the value of a length of time. Values are graded as they are
// printed, so that nobody fails by a thousandth that cannot be seen.
func seconds(d time.Duration) Value {
	return Value(math.Round(max(0, d).Seconds()*100) / 100)
}

// A Grade is a value against its thresholds.
type Grade string

// The grades.
const (
	Good    Grade = "good"     // full points
	Pass    Grade = "pass"     // half of them, or more where faster is better
	Poor    Grade = "poor"     // none
	Cost    Grade = "cost"     // none, and nobody's fault: a needless hold
	LeftOut Grade = "left out" // what it measures did not come up: it counts neither way
)

// grade compares v with the thresholds of m.
func (m Measure) grade(v Value) Grade {
	switch {
	case v <= Value(m.Good):
		return Good
	case v <= Value(m.Pass):
		return Pass
	case m.Kind == NeedlessHolds:
		return Cost
	}
	return Poor
}

// late is what is lost at once of the weight of a call that was answered too late
// to be good.
const late = 0.25

// share is how much of its weight a value of a grade earns. Of an answer to a call
// that passes, three quarters: evenly less the later it comes, to half.
func (m Measure) share(v Value, g Grade) float64 {
	switch {
	case g == Good:
		return 1
	case g != Pass:
		return 0
	case m.Kind == TimeToHold || m.Kind == TimeToCut || m.Kind == TimeToStandDown:
		return 1 - late - (0.5-late)*(float64(v)-m.Good)/(m.Pass-m.Good)
	}
	return 0.5
}

// weight is the measure's weight; 1 where there is none that makes sense.
func (m Measure) weight() float64 {
	if m.Weight > 0 && m.Weight <= math.MaxFloat32 {
		return m.Weight
	}
	return 1
}

// ErrNotStarted is the error of a session in which no music was played.
var ErrNotStarted = errors.New("the drill was never started: there is nothing to score")

// Score scores a run of the session as a run of x, from the log alone and only
// up to the end of the drill: the last run that was finished or, when none was,
// the last that was started. The error is ErrNotStarted, or says where the log
// contradicts itself.
//
// Each measure that applies earns its weight when the value is good, half of it
// or more when it passes. The score is 100 less what was lost, of what was to be had.
func Score(log *session.Log, x *Exercise) (*Result, error) {
	r, err := lastRun(log, x.Drill)
	if err != nil {
		return nil, err
	}
	field, err := log.Field()
	if err != nil {
		return nil, err
	}
	s := scorer{run: r, x: x, field: field, header: &log.Header}
	res := s.result(&log.Header)
	for _, m := range x.Drill.Measures {
		res.Lines = append(res.Lines, s.line(m))
	}
	res.addUp()
	res.Moments = s.moments()
	return res, nil
}
