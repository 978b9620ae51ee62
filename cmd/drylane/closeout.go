package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/closeout"
)

type closeoutCmd struct {
	Session string `arg:"" help:"The session: its path, its name, or \"last\"." placeholder:"SESSION"`
	Search  string `placeholder:"FILE" help:"What was seen, searched and found, in TOML."`
	HTML    string `placeholder:"OUT" help:"Write the record as one page of HTML."`
	CSV     string `name:"csv" placeholder:"OUT" help:"Write a line for each cue as a table."`
	Sheet   string `placeholder:"OUT" help:"Write the sheet for the search, with boxes to tick, as a page of HTML."`
	replaceFlag
}

func (closeoutCmd) Help() string {
	return "Closes out a session: what was commanded, what is still loaded, who searched where and what was found. Commanded is not gone off: what nobody saw is searched for like the rest.\n\nA search file:\n\n    " +
		inset(closeout.Format) + "\n\nExamples:\n\n  drylane closeout last --sheet search.html\n  drylane closeout last --search search.toml --html record.html --csv record.csv"
}

func (c closeoutCmd) Run(e *env) error {
	log, path, err := e.findSession(c.Session)
	if err != nil {
		return err
	}
	w := c.writer(e)
	w.Keep("the session log itself", path)
	w.Keep("the search file", c.Search)
	html, errHTML := w.Take("--html", c.HTML)
	csv, errCSV := w.Take("--csv", c.CSV)
	sheet, errSheet := w.Take("--sheet", c.Sheet)
	if err := errors.Join(errHTML, errCSV, errSheet); err != nil {
		return err
	}
	search, err := readSearch(c.Search)
	if err != nil {
		return err
	}
	r, err := closeout.New(filepath.Base(path), log, search)
	if err != nil {
		if search != nil {
			return fmt.Errorf("%s: %w", show.Clean(c.Search), err)
		}
		return err
	}
	if err := errors.Join(html.Write(r.WriteHTML), csv.Write(r.WriteCSV), sheet.Write(r.WriteSheet)); err != nil {
		return err
	}
	return r.WriteText(e.out)
}

// readSearch reads a search file; nil for no path.
func readSearch(path string) (*closeout.Search, error) {
	if path == "" {
		return nil, nil
	}
	f, err := disk.OpenText(path, "search file")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return closeout.ParseSearch(show.Clean(path), f)
}
