package main

import (
	"errors"
	"fmt"
	"text/tabwriter"

	"drylane/playback/sessions"
	"drylane/show"
	"drylane/show/report"
	"drylane/show/session"
)

type sessionsCmd struct {
	Dir string `placeholder:"DIR" help:"Where the session logs are; default: the user's data folder."`
}

func (sessionsCmd) Help() string {
	return "The other commands take a session by its path, by its name as listed here, or as \"last\".\n\nExample:\n\n  drylane sessions"
}

func (c sessionsCmd) Run(e *env) error {
	dir := c.Dir
	if dir == "" {
		dir = sessions.Dir()
	}
	names, err := sessions.Names(dir)
	if err != nil {
		return err
	}
	if len(names) == 0 {
		_, err := fmt.Fprintf(e.out, "%s: no sessions yet; a rehearsal leaves one\n", show.Clean(dir))
		return err
	}
	t := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "began\tshow\theard\tfired\ttaps\tsession")
	for _, name := range names {
		fmt.Fprintln(t, sessions.Line(dir, name))
	}
	return t.Flush()
}

// findSession reads a session, by any name that sessions.Path takes, and returns
// its path. A torn session is told of.
func (e *env) findSession(name string) (log *session.Log, path string, err error) {
	if log, path, err = sessions.Find(name); err == nil {
		e.tellTorn(name, log.Torn)
	}
	return log, path, err
}

func (e *env) tellTorn(name string, torn bool) {
	if torn {
		fmt.Fprintf(e.errOut, "%s: the last line is cut off; it was left out\n", show.Clean(name))
	}
}

// sheets reads sessions and analyses them.
func (e *env) sheets(names []string, person string) ([]*report.Sheet, error) {
	var out []*report.Sheet
	var errs []error
	for _, name := range names {
		s, err := e.sheet(name, person)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		out = append(out, s)
	}
	return out, errors.Join(errs...)
}

func (e *env) sheet(name, person string) (*report.Sheet, error) {
	s, torn, err := sessions.Sheet(name, person)
	e.tellTorn(name, torn)
	return s, err
}
