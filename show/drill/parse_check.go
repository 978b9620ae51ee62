package drill

import (
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/timebase"
)

// overName is the name of the step that Until makes; no other may have it.
const overName = "over"

// traineeWords are what the trainee does, as triggers name it, and what is before all
// of it.
var traineeWords = []string{show.Arm.String(), show.Start.String(), show.Hold.String(), show.Resume.String(),
	show.StandDown.String(), show.Cut.String(), afterOpening, afterRestart}

func stepNames(d *Drill) []string {
	var names []string
	for _, s := range d.Steps {
		if s.Name != "" {
			names = append(names, s.Name)
		}
	}
	return names
}

// checkSteps holds the steps of d, read from tables, against each other.
func checkSteps(d *Drill, tables []*show.Table) {
	first := map[string]int{}
	for i, s := range d.Steps {
		t := tables[i]
		switch _, taken := first[s.Name]; {
		case s.Name == "":
		case s.Name == overName || slices.Contains(traineeWords, s.Name):
			t.Note(show.CodeDuplicate, "name", show.Quote(s.Name)+", which means something else,", "a name of its own")
		case taken:
			t.Note(show.CodeDuplicate, "name", show.Quote(s.Name)+" a second time", "a name of its own")
		default:
			first[s.Name] = i
		}
		if s.When.After == "" && d.Until > 0 && s.When.To > d.Until {
			t.Note(show.CodeLate, "at", timebase.ClockMillis(s.When.To), "a moment before the drill is over, at "+timebase.ClockMillis(d.Until))
		}
	}
	for i, s := range d.Steps {
		checkAfter(d, first, s.When.After, i, tables[i])
	}
}

// checkAfter notes what is wrong with what step i waits for.
func checkAfter(d *Drill, first map[string]int, after string, i int, t *show.Table) {
	if after == "" || slices.Contains(traineeWords, after) {
		return
	}
	before, known := first[after]
	switch {
	case !known:
		all := append(slices.Clone(traineeWords), stepNames(d)...)
		t.Note(show.CodeUnknown, "after", show.Quote(after),
			"a step's name, or one of "+strings.Join(traineeWords, ", ")+show.DidYouMean(after, all))
	case d.Steps[before].Do == Over:
		t.Note(show.CodeValue, "after", show.Quote(after)+", with which the drill is over,", "a step that something comes after")
	case inCircle(d, first, i):
		t.Note(show.CodeValue, "after", show.Quote(after)+", which waits for this step itself,", "what comes without it")
	}
}

// inCircle reports whether step i, by what it waits for, waits for itself.
func inCircle(d *Drill, first map[string]int, i int) bool {
	k, ok := i, true
	for range d.Steps {
		if k, ok = first[d.Steps[k].When.After]; !ok {
			return false
		}
		if k == i {
			return true
		}
	}
	return false
}

// Check checks the drill against the show that it is run on: every position,
// module and effect family that it speaks of must have cues.
func (d *Drill) Check(s *show.Show) show.Problems {
	have := map[show.Group]bool{}
	for _, c := range s.Cues {
		have[show.Group{By: show.LanesByPosition, Name: c.Position}] = true
		have[show.Group{By: show.LanesByModule, Name: c.Module}] = true
		have[show.Group{By: show.LanesByFamily, Name: c.Family.String()}] = true
	}
	var ps show.Problems
	check := func(line int, g show.Group) {
		if g.Name == "" || have[g] {
			return
		}
		var names []string
		for h := range have {
			if h.By == g.By && h.Name != "" {
				names = append(names, h.Name)
			}
		}
		slices.Sort(names)
		ps = append(ps, show.Problem{Severity: show.SeverityStop, Code: show.CodeUnknown, File: d.Name + ".toml", Line: line,
			Found: "the " + g.By + " " + show.Quote(g.Name), Wanted: "one that the show has cues for" + show.DidYouMean(g.Name, names)})
	}
	ps = append(ps, d.checkBoard(s)...)
	for _, m := range d.Mends {
		check(m.Line, show.Group{By: show.LanesByPosition, Name: m.Position})
	}
	for _, p := range d.Plants {
		check(p.Line, show.Group{By: show.LanesByPosition, Name: p.Position})
	}
	for _, step := range d.Steps {
		if lacks := step.Do.row().lacks; lacks != nil {
			if what := lacks(s, step.Group); what != "" {
				ps = append(ps, show.Problem{Severity: show.SeverityStop, Code: show.CodeUnknown, File: d.Name + ".toml", Line: step.Line,
					Found: show.Quote(string(step.Do)) + " for " + show.Quote(step.Group.Name), Wanted: what})
			}
		}
		check(step.Line, step.Group)
		if step.Of != step.Group {
			check(step.Line, step.Of)
		}
	}
	return ps
}
