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

// A Request is a line from an instructor: something that is to befall the run.
type Request struct {
	Do    drill.Deed `json:"do"`
	From  string     `json:"from,omitempty"`  // radio: who speaks
	Text  string     `json:"text,omitempty"`  // radio: what is said
	Wants drill.Want `json:"wants,omitempty"` // what the trainee should now do
	// By and Name are the group that is dead or alive, or that is to be stood
	// down. Dead and alive may leave both out: then it is everything.
	By   string `json:"by,omitempty"`
	Name string `json:"name,omitempty"`
}

// Words say what a request asks for.
func (r Request) Words() string {
	switch r.Do {
	case drill.Radio:
		return fmt.Sprintf("radio, %s: %s", r.From, r.Text)
	case drill.Dead, drill.Alive:
		if r.Name == "" {
			return "everything " + string(r.Do)
		}
		return fmt.Sprintf("%s %s %s", r.By, r.Name, r.Do)
	case drill.Over:
		return "the drill ends"
	}
	return string(r.Do)
}

var (
	deeds = []drill.Deed{drill.Radio, drill.MusicOff, drill.MusicOn, drill.Dead, drill.Alive, drill.DeviceLost, drill.DeviceBack, drill.Over}
	wants = []drill.Want{drill.WantNothing, drill.WantHold, drill.WantResume, drill.WantCut, drill.WantStandDown}
)

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
	case !slices.Contains(deeds, r.Do):
		return s, fmt.Errorf("found %q; wanted one of %s", show.Shorten(string(r.Do), 20), list(deeds))
	case !slices.Contains(wants, r.Wants):
		return s, fmt.Errorf("found %q as what it wants; wanted nothing or one of %s", show.Shorten(string(r.Wants), 20), list(wants[1:]))
	}
	if err := r.radio(&s); err != nil {
		return s, err
	}
	takesGroup, standDown := r.Do == drill.Dead || r.Do == drill.Alive, r.Wants == drill.WantStandDown
	g := show.Group{By: r.By, Name: r.Name}
	switch {
	case g == show.Group{} && standDown:
		return s, errors.New("found nobody to stand down; wanted a position, module or effect")
	case g == show.Group{}:
		return s, nil
	case !takesGroup && !standDown:
		return s, fmt.Errorf("found a group for %q; wanted none", r.Do)
	case p.Group(g) < 0:
		return s, fmt.Errorf("no cue has the %s %q", show.Shorten(r.By, 20), show.Shorten(r.Name, maxName))
	}
	if takesGroup {
		s.Group = g
	}
	if standDown {
		s.Of = g
	}
	return s, nil
}

// radio takes over what is said, and refuses words that nobody can say.
func (r Request) radio(s *drill.Step) error {
	if r.Do != drill.Radio {
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
