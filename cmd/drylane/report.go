package main

import (
	"errors"
	"fmt"
	"io"
	"time"

	"drylane/playback/sessions"
	"drylane/show/report"
)

type reportCmd struct {
	Session []string `arg:"" help:"Session logs: paths, names that \"drylane sessions\" lists, or \"last\"." placeholder:"SESSION"`
	HTML    string   `placeholder:"OUT" help:"Write the debrief as one page of HTML."`
	CSV     string   `name:"csv" placeholder:"OUT" help:"Write everything in it as a table."`
	replaceFlag
	Person string `placeholder:"NAME" help:"Whose taps they are, as calibrated; default: whom the session names."`
}

func (reportCmd) Help() string {
	return "Writes the debrief of one or more rehearsals: the run, its holds and nudges, how late or early the cues were, those that did not go as listed. The page needs no other file, prints, and reads on a telephone; without --html and --csv the debrief is printed as text. With several sessions it shows how a person's went on.\n\nExamples:\n\n  drylane report last\n  drylane report last --html debrief.html --csv debrief.csv"
}

func (r reportCmd) Run(e *env) error {
	w := r.writer(e)
	for _, name := range r.Session {
		if path, err := sessions.Path(name); err == nil {
			w.Keep("the session log itself", path)
		}
	}
	html, errHTML := w.Take("--html", r.HTML)
	csv, errCSV := w.Take("--csv", r.CSV)
	if err := errors.Join(errHTML, errCSV); err != nil {
		return err
	}
	sheets, err := e.sheets(r.Session, r.Person)
	if err != nil {
		return err
	}
	if err := html.Write(report.Page{Sheets: sheets, Made: time.Now()}.WriteHTML); err != nil {
		return err
	}
	if html == nil && csv == nil {
		return e.printDebriefs(sheets)
	}
	if err := csv.Write(func(w io.Writer) error { return report.WriteCSV(w, sheets) }); err != nil {
		return err
	}
	return nameSessions(e.out, sheets)
}

// printDebriefs prints the debriefs as text.
func (e *env) printDebriefs(sheets []*report.Sheet) error {
	for i, s := range sheets {
		if i > 0 {
			fmt.Fprintln(e.out)
		}
		if err := s.WriteText(e.out); err != nil {
			return err
		}
	}
	return nil
}

// nameSessions says which sessions were told of: "last" may be another than was
// meant.
func nameSessions(w io.Writer, sheets []*report.Sheet) error {
	for _, s := range sheets {
		if _, err := fmt.Fprintf(w, "%s: %s, began %s\n", s.Name, s.Headline(), s.Run.Header.Began.Local().Format("2006-01-02 15:04")); err != nil {
			return err
		}
	}
	return nil
}
