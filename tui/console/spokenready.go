package console

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"drylane/show/makesafe"
	"drylane/show/ready"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// readyLine says how far the go / no-go list is, and who answers next or is chosen.
func (p *Spoken) readyLine() string {
	list := p.snap.Ready
	if list == nil {
		return ""
	}
	i := askedLine(list, p.hand.asked)
	if i < 0 {
		return "GO OR NO-GO. " + list.Count()
	}
	l := list.Lines()[i]
	count := list.Count()
	if crew, _ := p.crewReady(l.Who); crew != "" {
		count = crew + ". " + count
	}
	return fmt.Sprintf("%s, %s: %s. %s", l.Who, cmp.Or(answerWord(&l), "no answer"), p.answerText(&l, 1000), count)
}

// reasonLines ask why somebody says no.
func (p *Spoken) reasonLines() []string {
	lines := []string{"WHY IS " + p.hand.asked + " no-go? " + p.chooseSpoken(), "0: no answer, it is withdrawn"}
	for i, why := range ready.Reasons() {
		lines = append(lines, fmt.Sprintf("%d: %s", i+1, why))
	}
	return lines
}

// peopleLines ask who goes into the field, or is back.
func (p *Spoken) peopleLines() []string {
	lines := []string{"WHO GOES IN, who is back? " + p.chooseSpoken()}
	for i, name := range p.hand.people {
		what := "goes in"
		if slices.ContainsFunc(p.inField(), func(v makesafe.Visit) bool { return strings.EqualFold(v.Name, name) }) {
			what = "is back"
		}
		lines = append(lines, fmt.Sprintf("%d: %s %s", i+1, name, what))
	}
	if len(p.hand.people) == 0 {
		lines = append(lines, "show.toml names nobody: [safe] crew")
	}
	if left := p.waiting(); left > 0 {
		lines = append(lines, "WAIT: nobody goes in for "+timebase.ClockUp(left))
	}
	return lines
}

// chooseSpoken is chooseHint with the keys by their names.
func (p *Spoken) chooseSpoken() string {
	return fmt.Sprintf("A digit says it, or %s, %s and %s; any other key goes back.", p.keyName(actLaneUp), p.keyName(actLaneDown), p.keyName(actGo))
}

// picked is the line of a list that has just been chosen; first is the digit of the
// first. The lines have a head.
func (p *Spoken) picked(lines []string, first int) []string {
	if i := p.pick - first + 1; i >= 1 && i < len(lines) {
		return lines[i : i+1]
	}
	return lines[:1]
}

// safeLines say how a show that was made safe stands: how long nobody goes in, and who
// is in. Empty for one that was not.
func (p *Spoken) safeLines() (wait, in string) {
	if !p.madeSafe() {
		return "", ""
	}
	if left := p.waiting(); left > 0 {
		wait = "WAIT: nobody goes in for " + timebase.ClockUp(left)
	} else if !p.snap.Safe.Since.IsZero() {
		wait = "WAITED " + timebase.ClockUp(p.snap.Safe.Book.Wait()) + ": the operator says who goes in"
	}
	var names []string
	for _, v := range p.inField() {
		names = append(names, v.Name)
	}
	if len(names) > 0 {
		in = "IN THE FIELD: " + strings.Join(names, ", ")
	}
	return wait, in
}

var _ screen.Speaker = (*Spoken)(nil)
