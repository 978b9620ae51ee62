package main

import (
	"encoding/json"
	"fmt"
	"io"

	"drylane/show/report"
)

type driftCmd struct {
	Session []string `arg:"" help:"Session logs: paths, names that \"drylane sessions\" lists, or \"last\"." placeholder:"SESSION"`
	Person  string   `placeholder:"NAME" help:"Whose taps they are, as calibrated; default: whom the session names."`
	List    bool     `help:"List every tap with the cue it belongs to."`
	Lane    bool     `help:"List the taps by lane."`
	JSON    bool     `help:"Print one JSON object for each session."`
}

func (driftCmd) Help() string {
	return "Tells how late or early the cue list is against the music, from the taps of a rehearsal: for the show, each lane and each section, with 95 % intervals. What does not count among the taps is told; --list tells of every one. Taps of a crew's listeners (drylane join --role listener --place NAME) are told place by place, and joined for the main audience.\n\nExamples:\n\n  drylane drift last\n  drylane drift run1.jsonl run2.jsonl --person Robin --json"
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
		if err := d.write(e.out, s); err != nil {
			return err
		}
	}
	return nil
}

// write prints the drift of a session, and its taps where they are asked for.
func (d driftCmd) write(w io.Writer, s *report.Sheet) error {
	if err := s.WriteDrift(w); err != nil || !d.List && !d.Lane {
		return err
	}
	return s.WriteTaps(w, d.Lane)
}
