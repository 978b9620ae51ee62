package instruct

import (
	"fmt"
	"time"

	"drylane/show/drill"
	"drylane/show/words"
)

// A PlannedStep is something that is to happen in the run, as the drill was drawn.
type PlannedStep struct {
	Step  string        `json:"step,omitempty"` // its name, by which events tell of it
	At    time.Duration `json:"at_ns"`          // of the music, or the time after After
	After string        `json:"after,omitempty"`
	Do    drill.Deed    `json:"do"`
	What  string        `json:"what"`
	Wants drill.Want    `json:"wants,omitempty"`
}

// maxPlanned bounds the steps and the planted errors that are told, and maxWhat the
// characters that say what one is.
const (
	maxPlanned = 60
	maxWhat    = 100
)

// planned are the steps of an exercise, for an instructor.
func planned(x *drill.Exercise) []PlannedStep {
	var list []PlannedStep
	for _, s := range x.Steps {
		what := s.Do.Told(s.Group)
		if s.Do.TakesWords() {
			what = s.From + ": " + s.Text
		}
		list = append(list, PlannedStep{Step: s.Name, At: s.When.From, After: s.When.After, Do: s.Do, What: what, Wants: s.Wants})
	}
	return list
}

// planted are the errors in the trainee's cue list, in words.
func planted(x *drill.Exercise) []string {
	var list []string
	for _, p := range x.Plants {
		whose := p.Position
		if whose == "" {
			whose = "all cues"
		}
		text := whose
		for _, late := range p.Late {
			text += " " + words.Late(late)
		}
		for _, grow := range p.Grow { // more of it, or less
			if grow != 0 {
				text += fmt.Sprintf(", %.0f ms later with each minute", float64(grow)/float64(time.Millisecond))
			}
		}
		list = append(list, text)
	}
	return list
}
