package drill

import (
	"slices"
	"time"

	"drylane/show"
)

// Words of a trigger besides what the trainee does.
const (
	afterOpening = "opening"   // the console is there, safe, and nothing has been armed
	afterRestart = "new start" // a start after a cut, in a drill that goes on after it
)

// named returns the place of the step of that name; -1 when there is none.
func named(steps []Step, name string) int {
	return slices.IndexFunc(steps, func(s Step) bool { return name != "" && s.Name == name })
}

// follows reports whether step i waits for that word of a trigger, be it through
// other steps.
func follows(steps []Step, i int, word string) bool {
	for range steps {
		after := steps[i].When.After
		if after == word {
			return true
		}
		if i = named(steps, after); i < 0 {
			return false
		}
	}
	return false
}

// restarts reports whether a drill goes on after a cut: somebody reports then that
// the field is ready once more.
func restarts(steps []Step) bool {
	for i := range steps {
		if steps[i].Wants == WantArm && follows(steps, i, show.Cut.String()) {
			return true
		}
	}
	return false
}

// stops reports whether the step calls for a hold or a cut.
func (s *Step) stops() bool { return s.Wants == WantHold || s.Wants == WantCut }

// goOn takes the exercise on over a cut and a new arming. What did not come while
// the show was safe does not come any more; what was wrong when it was cut, and has
// not been put right, is wrong still, and is said again: an arming makes all else
// whole.
func (d *Director) goOn(now time.Time) {
	for gone := true; gone; {
		gone = false
		for i := range d.steps {
			if at, ok := d.moment(i); !ok && !at.IsZero() && at.Before(now) {
				d.came[i], gone = at, true
			}
		}
	}
	d.closed, d.cut = time.Time{}, true
	d.did(show.Arm.String(), now)
	for _, s := range d.faulty() {
		s.Wants, s.When = WantNothing, Trigger{}
		d.steps = append(d.steps, s)
		d.frames, d.base = append(d.frames, Never), append(d.base, -1)
		d.byCut, d.byOpen = append(d.byCut, false), append(d.byOpen, false)
		d.came, d.ready = append(d.came, now), append(d.ready, len(d.steps)-1)
	}
}

// faulty are the steps that came whose faults have not been put right, each fault
// once.
func (d *Director) faulty() []Step {
	var order []int
	for i, at := range d.came {
		if !at.IsZero() && !slices.Contains(d.ready, i) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return d.came[a].Compare(d.came[b]) })
	var f Faults
	for _, i := range order {
		f.Take(d.steps[i].Do, d.steps[i].Group)
	}
	var list []Step
	for _, x := range f.list {
		k := slices.IndexFunc(order, func(i int) bool { return d.steps[i].Do == x.do && d.steps[i].Group == x.group })
		list = append(list, d.steps[order[k]])
	}
	return list
}
