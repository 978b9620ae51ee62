package crew

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drill"
)

// A trainer asks with a Deed for a step of a drill: Radio or Fault. In it Do says which,
// a message where it is empty; From and Text are what is said, by whom; Wants is what the
// trainee should now do; By and Of are the group that it is about, or that is to be stood
// down, and may be left out where it may be about everything.

// maxFrom is how many characters the name of somebody on the radio has at most.
const maxFrom = 40

// step checks what a trainer asks for against the show and makes it a drill's step. The
// error is short and fit for a terminal.
func (d Deed) step(what crew.Deed, p *show.Plan) (drill.Step, error) {
	s := drill.Step{Do: drill.Deed(d.Do), Wants: drill.Want(d.Wants), Chance: 1}
	if what == crew.Radio && s.Do == "" {
		s.Do = drill.Radio
	}
	switch {
	case !slices.Contains(drill.Deeds(), s.Do):
		return s, fmt.Errorf("found %q; wanted one of %s", show.Shorten(d.Do, 20), joined(drill.Deeds()))
	case s.Do.TakesWords() != (what == crew.Radio):
		return s, fmt.Errorf("found %q as a %s; wanted another", s.Do, what)
	case s.Wants != drill.WantNothing && !slices.Contains(drill.Wants(), s.Wants):
		return s, fmt.Errorf("found %q as what it wants; wanted nothing or one of %s", show.Shorten(d.Wants, 20), joined(drill.Wants()))
	}
	if err := d.radio(&s); err != nil {
		return s, err
	}
	return s, d.group(&s, p)
}

// group takes over whom a deed is about, and refuses a group that it cannot be about.
func (d Deed) group(s *drill.Step, p *show.Plan) error {
	takes, standDown := s.Do.TakesGroup(), s.Wants == drill.WantStandDown
	g := show.Group{By: d.By, Name: d.Of}
	wanted := s.Do.Wants(g)
	switch {
	case g == show.Group{} && standDown:
		return errors.New("found nobody to stand down; wanted a position, module or effect")
	case wanted != "":
		return fmt.Errorf("found %q for %q; wanted %s", show.Shorten(d.Of, maxName), s.Do, wanted)
	case g == show.Group{}:
		return nil
	case !takes && !standDown:
		return fmt.Errorf("found a group for %q; wanted none", s.Do)
	case p.Group(g) < 0:
		return fmt.Errorf("no cue has the %s %q", show.Shorten(d.By, 20), show.Shorten(d.Of, maxName))
	}
	if takes {
		s.Group = g
	}
	if standDown {
		s.Of = g
	}
	return nil
}

// radio takes over what is said, and refuses words that nobody can say.
func (d Deed) radio(s *drill.Step) error {
	if !s.Do.TakesWords() {
		if d.From != "" || d.Text != "" {
			return fmt.Errorf("found words for %q; wanted none", s.Do)
		}
		return nil
	}
	s.From, s.Text = strings.TrimSpace(d.From), strings.TrimSpace(d.Text)
	switch {
	case s.Text == "":
		return errors.New("found no text; wanted what is said")
	case s.From == "":
		return errors.New("found nobody who speaks; wanted a position, or field, or spotter")
	case len([]rune(s.From)) > maxFrom:
		return fmt.Errorf("found a name of %d characters for who speaks; wanted %d at most", len([]rune(s.From)), maxFrom)
	}
	return nil
}

// asked says in words what a step does that a trainer asked for.
func asked(s drill.Step) string {
	if s.Do.TakesWords() {
		return fmt.Sprintf("radio, %s: %s", s.From, s.Text)
	}
	return s.Do.Told(s.Group)
}

func joined[T ~string](words []T) string {
	var s []string
	for _, w := range words {
		s = append(s, string(w))
	}
	return strings.Join(s, ", ")
}

// faultOf reads a fault as a script has it: what it is and whose, "dead Quay".
func faultOf(text string) Deed {
	d := Deed{Do: text}
	for _, do := range drill.Deeds() {
		if rest, ok := strings.CutPrefix(text+" ", string(do)+" "); ok {
			d.Do, d.Of = string(do), strings.TrimSpace(rest)
		}
	}
	if d.Of != "" {
		d.By = show.LanesByPosition
	}
	return d
}
