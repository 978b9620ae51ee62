package main

import (
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/playback/disk"
	"drylane/show/report"
)

type reportCmd struct {
	Session []string `arg:"" help:"Session logs: paths, names that \"drylane sessions\" lists, or \"last\"." placeholder:"SESSION"`
	HTML    string   `placeholder:"OUT" help:"Write the debrief as one page of HTML."`
	CSV     string   `name:"csv" placeholder:"OUT" help:"Write everything in it as a table."`
	Person  string   `placeholder:"NAME" help:"Whose taps they are, as calibrated; default: whom the session names."`
}

func (reportCmd) Help() string {
	return "Writes the debrief of one or more rehearsals: the run, its holds and nudges, the drift, the cues that did not go as listed. The page needs no other file, prints, and reads on a telephone. With several sessions it shows how a person's went on.\n\nExample:\n\n  drylane report last --html debrief.html --csv debrief.csv"
}

func (r reportCmd) Run(e *env) error {
	if r.HTML == "" && r.CSV == "" {
		return errors.New("found nowhere to write to; wanted --html OUT, --csv OUT or both")
	}
	if r.HTML == r.CSV {
		return fmt.Errorf("found %s for both the page and the table; wanted two names", r.HTML)
	}
	sheets, err := e.sheets(r.Session, r.Person)
	if err != nil {
		return err
	}
	if r.HTML != "" {
		if err := disk.WriteWhole(r.HTML, report.Page{Sheets: sheets, Made: time.Now()}.WriteHTML); err != nil {
			return err
		}
	}
	if r.CSV != "" {
		return disk.WriteWhole(r.CSV, func(w io.Writer) error { return report.WriteCSV(w, sheets) })
	}
	return nil
}
