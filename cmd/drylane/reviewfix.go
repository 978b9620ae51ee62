package main

import (
	"bufio"
	"errors"
	"fmt"
	"strings"
	"time"

	"drylane/playback/folder"
	"drylane/show/retime"
	"drylane/show/review"
	"drylane/show/words"
)

// leastFix is the smallest shift worth taking out.
const leastFix = 30 * time.Millisecond

// fix asks of each shift that the review is sure of whether to take it out,
// and writes a retimed copy with those that were confirmed.
func (r reviewCmd) fix(e *env, l *folder.Folder, rep review.Report) error {
	offers := fixes(rep)
	if len(offers) == 0 {
		return errors.New("found no shift to take out; nothing was written")
	}
	answers := bufio.NewScanner(e.in)
	var specs []retime.Spec
	for _, s := range offers {
		what := "the whole list"
		if s.Position != "" {
			what = "position " + s.Position
		}
		fmt.Fprintf(e.out, "\nmove %s: %s? [y/n] ", what, words.Shift(s.Shift))
		if answers.Scan() && strings.EqualFold(strings.TrimSpace(answers.Text()), "y") {
			specs = append(specs, s)
		}
	}
	fmt.Fprintln(e.out)
	if len(specs) == 0 {
		return errors.New("nothing was confirmed; nothing was written")
	}
	c := retimeCmd{Dir: r.Dir, To: r.Fix, List: r.List}
	return c.apply(e, l, specs)
}

// fixes are the moves that would put the cues on the music, to 10 ms. A
// position that stands apart has its own shift, on top of the show's. What the music
// does not tell from another shift is not offered, nor is one for a list that drifts:
// none would mend it.
func fixes(rep review.Report) []retime.Spec {
	var out []retime.Spec
	var all time.Duration
	beside := rep.Show.Shift // what the positions are late beside
	if rep.Show.Found() {
		beside = 0
		if rep.Show.Shift.Abs() >= leastFix && !rep.Rate.Grows {
			all = rep.Show.Shift.Round(10 * time.Millisecond)
			out = append(out, retime.Spec{Shift: all})
		}
	}
	for _, p := range rep.Positions {
		own := (p.Shift - beside).Round(10*time.Millisecond) - all
		if p.Apart && p.Found() && own.Abs() >= leastFix {
			out = append(out, retime.Spec{Shift: own, Position: p.Name})
		}
	}
	return out
}
