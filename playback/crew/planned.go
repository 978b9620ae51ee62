package crew

import (
	"fmt"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/words"
)

// planned is what a run has in store for trainers.
func (c *Config) planned() Planned {
	p := Planned{Drill: c.Training.Drill, Positions: c.positions()}
	if x := c.Training.Exercise; x != nil {
		p.Steps, p.Planted = plannedSteps(x), planted(x)
	}
	return p
}

// positions returns the names of the positions that have cues: first those that the
// show tells of, in its order.
func (c *Config) positions() []string {
	var names []string
	add := func(name string) {
		g := show.Group{By: show.LanesByPosition, Name: name}
		if c.Plan.Group(g) >= 0 && len(name) <= maxName && len(names) < maxPositions && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	for _, p := range c.Training.Positions {
		add(p.Name)
	}
	for _, g := range c.Plan.Groups {
		if g.By == show.LanesByPosition {
			add(g.Name)
		}
	}
	return names
}

// plannedSteps are the steps of an exercise, for a trainer.
func plannedSteps(x *drill.Exercise) []PlannedStep {
	var list []PlannedStep
	for _, s := range x.Steps[:min(len(x.Steps), maxPlanned)] {
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
	for _, p := range x.Plants[:min(len(x.Plants), maxPlanned)] {
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
