// Package report turns session logs into what a crew sits down with after a
// rehearsal: what was run and when, what drifted and by how much, how holds
// were handled, which cues did not go as the list has them.
//
// From rebuilds a run by replaying its log through the transport, so that
// everything known at any moment of the run is known again. A Sheet adds the
// drift and the person who tapped; sheets are printed as text, JSON, a page
// of HTML or a table.
package report

import (
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Run is one way through the show, from arming on. All frames are frames
// heard of the soundtrack.
type Run struct {
	Header session.Header
	Plan   *show.Plan
	// Number counts the runs of the session that were started, from 1, and Of
	// is how many there were. Both are 0 when nothing was started.
	Number, Of int

	State  show.State     // at the end
	Heard  timebase.Frame // how much of the music
	Taps   []Tap
	Nudges []Nudge
	Holds  []Hold
	Marks  []Mark
	Cues   []CueRun // in firing order, as Plan.Cues

	// Field is the field board that the session began with; nil when there was none.
	Field *session.FieldRun
	// Ready is who answered before the arming, and Safe who was in the field, in the whole
	// session; nil where it knew of neither.
	Ready *session.ReadyRun
	Safe  *session.SafeRun
	// Listeners are those of the crew who tapped, each at one place, in the order of their
	// first taps.
	Listeners []*Listener
	Crew      []*session.Person // who took part from machines of their own, in the whole session

	Underruns int // how often the sound was found to have run dry
	// Torn says that the log's last line was cut off, Closed that the session
	// was ended in order. The end of a run that is neither is not known.
	Torn, Closed bool
}

// An Ending is what became of a cue.
type Ending uint8

// The endings of a cue.
const (
	Left    Ending = iota // its time did not come
	Fired                 // it fired
	Skipped               // its time came while it was stood down
	Before                // it had fired before the show was re-entered
)

func (f Ending) String() string { return [...]string{"left", "fired", "skipped", "fired before"}[f] }

// A CueRun is what a run did with one line of the cue list.
type CueRun struct {
	session.CueLine
	Ending Ending
	Listed timebase.Frame // the effect as the list has it
	// Nudge is what held when the cue was committed, or at the end of the run
	// for a cue that never was; positive = earlier.
	Nudge time.Duration
	// Late is how much later it fired than list and nudge say: a nudge that
	// came when it was overdue already cannot fire it in the past.
	Late timebase.Frame
	// LeftOut says that it was no part of the run, since that was re-entered, and had
	// not fired before: still loaded.
	LeftOut bool
	// Down says that it was stood down, when its time came or at the end.
	Down bool
	// Moved says that it was in the air during a hold, so that its effect was
	// seen elsewhere in the music than it fired for.
	Moved bool
	// Due is when its effect came, or would have, in the music as it was heard;
	// InHold says that it came while the music stood still, and belongs to no moment.
	Due    timebase.Frame
	InHold bool
}

// InForce is the effect as the list has it less the nudge in force.
func (c CueRun) InForce(rate int) timebase.Frame { return c.Listed - timebase.FrameAt(c.Nudge, rate) }

// A Tap is a key press on an accent.
type Tap struct {
	Heard timebase.Frame
	Nudge time.Duration // asked for at that moment
}

// A Nudge is a change of the nudge.
type Nudge struct {
	Heard    timebase.Frame
	From, To time.Duration
}

// A Hold is a stop of music and cues.
type Hold struct {
	Heard  timebase.Frame
	By     show.By // who held
	Reason string  // in words
	// Length is how long it lasted; when Open says that the run was not
	// resumed, until the last event of the log.
	Length time.Duration
	Open   bool
	// Left is what the resume left open: effects still up by the list, lines of the
	// checklist that were not ticked.
	Left show.Open
	// Prompt is what was noted or called in the ten seconds before, and
	// Reaction the time from there to the hold. No prompt: no reaction; and none
	// for a hold of the engine's own.
	Prompt   string
	Reaction time.Duration
}

// A Mark is anything else that happened, for a timeline.
type Mark struct {
	Heard timebase.Frame
	Kind  string // as in the log
	Text  string
}

// Started reports whether any music was played.
func (r *Run) Started() bool { return r.Number > 0 }

// Count returns how many cues came to the ending.
func (r *Run) Count(f Ending) int {
	n := 0
	for _, c := range r.Cues {
		if c.Ending == f {
			n++
		}
	}
	return n
}

// Held is the length of all holds together.
func (r *Run) Held() time.Duration {
	var all time.Duration
	for _, h := range r.Holds {
		all += h.Length
	}
	return all
}

// At is the moment of a frame.
func (r *Run) At(f timebase.Frame) time.Duration { return f.At(r.Plan.Rate) }
