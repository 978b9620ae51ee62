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
)

type progressCmd struct {
	Name string `arg:"" help:"Who: the name that was given to the drills as --person." placeholder:"NAME"`
	Dir  string `placeholder:"DIR" help:"Where the session logs are; default: the user's data folder."`
	HTML string `placeholder:"OUT" help:"Write it as one page of HTML."`
	replaceFlag
	JSON bool `help:"Print it as JSON."`
}

func (progressCmd) Help() string {
	return "All drills of a person side by side: the scores, and each measure with its trend.\n\nExample:\n\n  drylane progress Robin --html robin.html"
}

func (c progressCmd) Run(e *env) error {
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
	results, err := e.drillsOf(c.Name, c.Dir, names)
	if err != nil {
		return err
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

// drillsOf scores every drill of a person among the session logs of a folder. Logs
// that do not read, or cannot be scored, are told of.
func (e *env) drillsOf(name, dir string, logs []string) ([]*drill.Result, error) {
	var results []*drill.Result
	for _, file := range logs {
		log, err := sessions.Read(filepath.Join(dir, file))
		if err != nil {
			fmt.Fprintln(e.errOut, cleanLines(err.Error()))
			continue
		}
		if !strings.EqualFold(show.Clean(log.Header.Person), name) || log.Header.Drill == nil {
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
	if len(results) == 0 {
		return nil, fmt.Errorf("%s: found no drills of %q; wanted sessions of: drylane drill run ... --person %q", show.Clean(dir), show.Shorten(name, 60), show.Shorten(name, 60))
	}
	return results, nil
}
