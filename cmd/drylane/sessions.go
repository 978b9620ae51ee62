package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"iter"
	"strings"
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
	return "Lists rehearsals and drills, the last that was started at the end. The other commands take a session by its path, by its name as listed here or the beginning of one, as far as no other has it, or as \"last\", the one that was started last, wherever its log is.\n\nExample:\n\n  drylane sessions"
}

func (c sessionsCmd) Run(e *env) error {
	dir := c.Dir
	if dir == "" {
		dir = sessions.Dir()
	}
	list, err := sessions.List(dir)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		_, err := fmt.Fprintf(e.out, "%s: no sessions yet; a rehearsal leaves one\n", show.Clean(dir))
		return err
	}
	return writeSessions(e.out, list)
}

// writeSessions prints a row for each session, in columns, and below it the name and
// what is to be said of it, which no column is wide enough for.
func writeSessions(w io.Writer, list []sessions.Line) error {
	var rows strings.Builder
	t := tabwriter.NewWriter(&rows, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "began\tshow\theard\tfired\ttaps\tperson\tdrill\tscore")
	for _, l := range list {
		if l.Wrong == "" {
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%d\t%s\t%s\t%s\n", l.Began.Local().Format("2006-01-02 15:04"), l.Show, l.Heard, l.Fired, l.Taps,
				cmp.Or(l.Person, "-"), cmp.Or(l.Drill, "-"), cmp.Or(l.Score, "-"))
		}
	}
	t.Flush()
	row, end := iter.Pull(strings.Lines(rows.String()))
	defer end()
	out, _ := row()
	for _, l := range list {
		if l.Wrong != "" {
			out += fmt.Sprintf("%s: %s\n", l.Name, l.Wrong)
			continue
		}
		line, _ := row()
		out += fmt.Sprintf("%s  %s\n  %s\n", line, l.Name, l.Verdict)
	}
	_, err := io.WriteString(w, out)
	return err
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
