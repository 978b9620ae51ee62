package main

import (
	"encoding/json"
	"fmt"
)

type driftCmd struct {
	Session []string `arg:"" help:"Session logs: paths, names that \"drylane sessions\" lists, or \"last\"." placeholder:"SESSION"`
	Person  string   `placeholder:"NAME" help:"Whose taps they are, as calibrated; default: whom the session names."`
	Lane    bool     `help:"List the taps by lane."`
	JSON    bool     `help:"Print one JSON object for each session."`
}

func (driftCmd) Help() string {
	return "Tells how late or early the cue list is against the music, from the taps of a rehearsal: for the show, each lane and each section, with 95 % intervals.\n\nExamples:\n\n  drylane drift last\n  drylane drift run1.jsonl run2.jsonl --person Robin --json"
}

func (d driftCmd) Run(e *env) error {
	sheets, err := e.sheets(d.Session, d.Person)
	if err != nil {
		return err
	}
	for i, s := range sheets {
		if d.JSON {
			b, err := json.Marshal(s.Figures())
			if err != nil {
				return err
			}
			fmt.Fprintf(e.out, "%s\n", b)
			continue
		}
		if i > 0 {
			fmt.Fprintln(e.out)
		}
		if err := s.WriteDrift(e.out, d.Lane); err != nil {
			return err
		}
	}
	return nil
}
