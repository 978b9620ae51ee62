package drift

import (
	"fmt"

	"drylane/show/words"
)

// A Running analysis takes taps as they come and tells whether a nudge helped.
// It belongs to one goroutine. The time for a tap grows with the taps since the
// last nudge; a few hundred are fine.
type Running struct {
	cfg    Config
	now    *analysis
	nudged bool
	before Estimate // when last nudged
}

// NewRunning starts an analysis of cues with their effect times as in force.
func NewRunning(cues []Target, cfg Config) *Running {
	return &Running{cfg: cfg, now: newAnalysis(cues, cfg)}
}

// Tap counts a tap and returns the report of all since the last nudge.
func (r *Running) Tap(t Tap) Report {
	r.now.add(t)
	return r.now.report()
}

// Report returns the report of the taps since the last nudge.
func (r *Running) Report() Report { return r.now.report() }

// Nudged starts afresh with effect times as they are in force after a nudge, and
// keeps the estimate so far to compare with. Where there were too few taps for
// one, the comparison stays with the nudge before.
func (r *Running) Nudged(cues []Target) {
	if e := r.now.report().Show; e.N >= MinTaps {
		r.before, r.nudged = e, true
	}
	r.now = newAnalysis(cues, r.cfg)
}

// An OutcomeCode says what a nudge did.
type OutcomeCode string

// What a nudge did.
const (
	NoNudgeYet   OutcomeCode = "no-nudge-yet"  // or none after enough taps
	TooSoon      OutcomeCode = "too-soon"      // too few taps since
	Helped       OutcomeCode = "helped"        // the cues are nearer to the music
	NoDifference OutcomeCode = "no-difference" // not clearly nearer or further
	Worse        OutcomeCode = "worse"         // the cues are further off
)

// An Outcome compares the taps before a nudge with those after it.
type Outcome struct {
	Code          OutcomeCode
	Text          string
	Before, After Estimate
}

// Outcome says whether the last nudge helped. Only a change beyond chance
// counts: the intervals before and after must not meet.
func (r *Running) Outcome() Outcome {
	if !r.nudged {
		return Outcome{Code: NoNudgeYet, Text: "no nudge to judge yet"}
	}
	o := Outcome{Before: r.before, After: r.now.report().Show}
	if o.After.N < MinTaps {
		o.Code, o.Text = TooSoon, "too few taps since the nudge: "+more(MinTaps-o.After.N)
		return o
	}
	apart := o.Before.High < o.After.Low || o.After.High < o.Before.Low
	o.Code = NoDifference
	said := "the nudge made no clear difference"
	switch {
	case apart && o.After.Offset.Abs() < o.Before.Offset.Abs():
		o.Code, said = Helped, "the nudge helped"
	case apart && o.After.Offset.Abs() > o.Before.Offset.Abs():
		o.Code, said = Worse, "the nudge made it worse"
	}
	o.Text = fmt.Sprintf("cues were %s, now %s: %s", words.Late(o.Before.Offset), words.Late(o.After.Offset), said)
	return o
}
