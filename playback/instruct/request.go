package instruct

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/drill"
)

// A Request is a line from an instructor: something that is to happen in the run.
type Request struct {
	Do    drill.Deed `json:"do"`
	From  string     `json:"from,omitempty"`  // radio: who speaks
	Text  string     `json:"text,omitempty"`  // radio: what is said
	Wants drill.Want `json:"wants,omitempty"` // what the trainee should now do
	// By and Name are the group that it is about, or that is to be stood down.
	// Where a deed may be about everything, both may be left out.
	By   string `json:"by,omitempty"`
	Name string `json:"name,omitempty"`
}

// Words say what a request asks for.
func (r Request) Words() string {
	if r.Do.TakesWords() {
		return fmt.Sprintf("radio, %s: %s", r.From, r.Text)
	}
	return r.Do.Told(show.Group{By: r.By, Name: r.Name})
}

// parseRequest reads one line. The error is short and fit for a terminal.
func parseRequest(line []byte) (Request, error) {
	var r Request
	if err := decode(line, &r); err != nil {
		return r, fmt.Errorf(`found a line that is no request; wanted one such as {"do":"music off"}: %w`, err)
	}
	r.From = strings.TrimSpace(show.Clean(r.From))
	r.Text = strings.TrimSpace(show.Clean(r.Text))
	return r, nil
}

// decode reads the JSON of one line, all of it, strictly.
func decode(line []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return errors.New(show.Shorten(err.Error(), 80))
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something stands behind it")
	}
	return nil
}

// step checks a request against the show and makes it a drill's step. The
// error is short and fit for a terminal.
func (r Request) step(p *show.Plan) (drill.Step, error) {
	s := drill.Step{Do: r.Do, Wants: r.Wants, Chance: 1}
	switch {
	case !slices.Contains(drill.Deeds(), r.Do):
		return s, fmt.Errorf("found %q; wanted one of %s", show.Shorten(string(r.Do), 20), list(drill.Deeds()))
	case r.Wants != drill.WantNothing && !slices.Contains(drill.Wants(), r.Wants):
		return s, fmt.Errorf("found %q as what it wants; wanted nothing or one of %s", show.Shorten(string(r.Wants), 20), list(drill.Wants()))
	}
	if err := r.radio(&s); err != nil {
		return s, err
	}
	return s, r.group(&s, p)
}

// group takes over whom a request is about, and refuses a group that it cannot
// be about.
func (r Request) group(s *drill.Step, p *show.Plan) error {
	takes, standDown := r.Do.TakesGroup(), r.Wants == drill.WantStandDown
	g := show.Group{By: r.By, Name: r.Name}
	wanted := r.Do.Wants(g)
	switch {
	case g == show.Group{} && standDown:
		return errors.New("found nobody to stand down; wanted a position, module or effect")
	case wanted != "":
		return fmt.Errorf("found %q for %q; wanted %s", show.Shorten(r.Name, maxName), r.Do, wanted)
	case g == show.Group{}:
		return nil
	case !takes && !standDown:
		return fmt.Errorf("found a group for %q; wanted none", r.Do)
	case p.Group(g) < 0:
		return fmt.Errorf("no cue has the %s %q", show.Shorten(r.By, 20), show.Shorten(r.Name, maxName))
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
func (r Request) radio(s *drill.Step) error {
	if !r.Do.TakesWords() {
		if r.From != "" || r.Text != "" {
			return fmt.Errorf("found words for %q; wanted none", r.Do)
		}
		return nil
	}
	s.From, s.Text = r.From, r.Text
	switch {
	case s.Text == "":
		return errors.New("found no text; wanted what is said")
	case s.From == "":
		return errors.New("found nobody who speaks; wanted a position, or field, or spotter")
	case len([]rune(s.Text)) > MaxText:
		return fmt.Errorf("found a text of %d characters; wanted %d at most", len([]rune(s.Text)), MaxText)
	case len([]rune(s.From)) > MaxFrom:
		return fmt.Errorf("found a name of %d characters for who speaks; wanted %d at most", len([]rune(s.From)), MaxFrom)
	}
	return nil
}

func list[T ~string](words []T) string {
	var s []string
	for _, w := range words {
		s = append(s, string(w))
	}
	return strings.Join(s, ", ")
}
