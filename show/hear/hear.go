// Package hear tells from the bangs in recordings of a show how late or early it was
// fired: the whole list, each position, each size of shell, each stretch of the music.
//
// A recording has the music in it, and that says when each cue was due at the
// microphone: its bang is on the way for longer or shorter than the music is, by what
// package field knows of the distances and of the height of breaks. What was heard is a
// scatter of moments, some of them cues, some of them echoes, lifts, later shots of a
// cake, a door. How likely they are, with the cues late by so much, is that of a Poisson
// process whose rate is a steady one plus a bell about each cue (likely.go; Daley and
// Vere-Jones, An Introduction to the Theory of Point Processes, chapter 7). No bang has to
// be given to a cue for it: where several may be meant, all count, and in a wall of sound
// none says anything.
//
// What stands apart, a position or a size of shell, is asked of all the others
// (terms.go). Differences are the fire less the list: positive is late.
package hear

import (
	"time"

	"drylane/show"
	"drylane/show/field"
)

// A Bang is one that was found in a recording.
type Bang struct {
	At   time.Duration // in the recording
	Rise float64       // how far it stands out; only its order matters
}

// A Piece is a stretch of a recording in which the music runs. A hold is between two.
type Piece struct {
	From, To time.Duration // of the soundtrack
	At       time.Duration // where From is heard in the recording
	Rate     float64       // seconds of the recording for one of the soundtrack
}

// Heard is when a moment of the soundtrack is heard, if it is the piece's or if the
// piece went on.
func (p Piece) Heard(at time.Duration) time.Duration {
	return p.At + time.Duration(p.Rate*float64(at-p.From))
}

// A Recording is what is known of one: the music's pieces and the bangs, both in order.
type Recording struct {
	Name   string
	Length time.Duration
	Pieces []Piece
	Bangs  []Bang
}

// An Estimate is how late something was.
type Estimate struct {
	Late      time.Duration // positive late
	Low, High time.Duration // with a chance of 95 %
	// Cues is how many cues it is made of that ought to be heard, Heard how many of them
	// were.
	Cues, Heard int
	// Told says that it is known well enough to be told as a fact.
	Told bool
}

// A Group is the estimate of a position, a size of shell or a stretch.
type Group struct {
	Name string
	Estimate
	Apart    bool          // it is told to be elsewhere than the rest
	From, To time.Duration // of a stretch
}

// A Report is what was heard of a show.
type Report struct {
	Show      Estimate // without what stands apart
	Positions []Group  // in order of the show
	Sizes     []Group  // of shells, the smallest first
	Stretches []Group  // in order
	Rate      Rate
	Cues      []Cue // in order of the list's effects
	Unlisted  []Unlisted
	Verdicts  []Verdict
	// NoSpeaker says that show.toml names no loudspeaker: how long the music is on its
	// way is then not known.
	NoSpeaker bool

	middle time.Duration // of the show, by its first and last effect: what Show is of where it grows
}

// A Rate tells whether the cues come later and later.
type Rate struct {
	Grows bool
	Slope float64 // seconds of lateness a second of music
}

// A Cue is what was heard of one.
type Cue struct {
	show.Cue
	State CueState
	// Recording is the number of that in which it was due, at Due if it was on time.
	Recording int
	Due       time.Duration
	// Late is how late it was, if it was heard; Off says that people would notice.
	Late time.Duration
	Off  bool
}

// A CueState says what was heard of a cue.
type CueState string

// The states of a cue.
const (
	Heard     CueState = "heard"
	NotHeard  CueState = "not heard"
	Silent    CueState = "no bang due"  // it makes none
	NotKnown  CueState = "not known"    // its distance or what it is heard from is not
	NotInside CueState = "not recorded" // no recording runs while it is due
)

// An Unlisted is a bang for which there is no cue.
type Unlisted struct {
	Recording int
	At        time.Duration // in it
	Music     time.Duration // the moment of the soundtrack that is heard then
}

// Check tells what the recordings say of the show. Each moment of the show is taken from
// the first recording that has it; another that contradicts the first is told. audience is
// the number, in the field's order, of the place that they were taken at.
func Check(s *show.Show, recordings []Recording, audience int) Report {
	rep := check(s, recordings, audience)
	if !rep.rehearsed() {
		rep.Verdicts = append(disagreements(s, recordings, audience), rep.Verdicts...)
	}
	return rep
}

func check(s *show.Show, recordings []Recording, audience int) Report {
	f := field.Of(s)
	h := &hearing{show: s, recordings: recordings}
	h.expect(f, audience)
	h.take()
	rep := Report{NoSpeaker: len(s.Speakers) == 0}
	h.fit(&rep)
	return rep
}

// WaveHz is how many peaks of a recording a second a Page takes.
const WaveHz = 10
