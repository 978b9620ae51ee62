package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"drylane/playback/sessions"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/season"
)

type progressCmd struct {
	Name string `arg:"" optional:"" help:"Who: the name that was given to the drills as --person." placeholder:"NAME"`
	Crew string `placeholder:"FILE" help:"A crew's curriculum in TOML: who is current and who is due."`
	Dir  string `placeholder:"DIR" help:"Where the session logs are; default: the user's data folder."`
	HTML string `placeholder:"OUT" help:"Write it as one page of HTML."`
	replaceFlag
	JSON bool `help:"Print it as JSON."`
}

func (progressCmd) Help() string {
	return "All drills of a person side by side: the scores, and each measure with its trend. With --crew it is the crew's book instead: who is current, who is due, and how fast calls to hold are answered, misses included.\n\nA curriculum:\n\n    " + inset(season.Format) + "\n\nExamples:\n\n  drylane progress Robin --html robin.html\n  drylane progress --crew crew.toml --html book.html"
}

func (c progressCmd) Run(e *env) error {
	if (c.Name == "") == (c.Crew == "") {
		return errors.New("wanted the name of a person, or --crew FILE")
	}
	if c.Dir == "" {
		c.Dir = sessions.Dir()
	}
	w := c.writer(e)
	names, err := sessions.Names(c.Dir)
	if err != nil {
		return err
	}
	for _, name := range names {
		w.Keep("a session log", filepath.Join(c.Dir, name))
	}
	html, err := w.Take("--html", c.HTML)
	if err != nil {
		return err
	}
	if c.Crew != "" {
		return e.book(c, names, html)
	}
	results, err := e.drillsOf(c.Dir, names, func(person string) bool { return strings.EqualFold(person, c.Name) })
	if err != nil {
		return err
	}
	if len(results) == 0 {
		return fmt.Errorf("%s: found no drills of %q; wanted sessions of: drylane drill run ... --person %q", show.Clean(c.Dir), show.Shorten(c.Name, 60), show.Shorten(c.Name, 60))
	}
	p := drill.NewProgress(results)
	if err := html.Write(func(w io.Writer) error { return p.WriteHTML(w, time.Now()) }); err != nil {
		return err
	}
	if c.JSON {
		return printJSON(e.out, p.Figures())
	}
	return p.WriteText(e.out, e.width())
}

// drillsOf scores the drills of certain people among the session logs of a folder. Logs
// that do not read, or cannot be scored, are told of.
func (e *env) drillsOf(dir string, logs []string, wanted func(person string) bool) ([]*drill.Result, error) {
	var results []*drill.Result
	for _, file := range logs {
		log, err := sessions.Read(filepath.Join(dir, file))
		if err != nil {
			fmt.Fprintln(e.errOut, cleanLines(err.Error()))
			continue
		}
		if log.Header.Drill == nil || !wanted(show.Clean(log.Header.Person)) {
			continue
		}
		r, err := drill.FromLog(file, log)
		switch {
		case errors.Is(err, drill.ErrNotStarted): // nothing to score
		case err != nil:
			fmt.Fprintf(e.errOut, "%s: %s\n", show.Clean(file), cleanLines(err.Error()))
		default:
			results = append(results, r)
		}
	}
	return results, nil
}
