package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/report"
	"drylane/show/session"
	"drylane/show/timebase"

	"github.com/adrg/xdg"
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
		dir = sessionsDir()
	}
	names, err := sessionNames(dir)
	if err != nil {
		return err
	}
	if len(names) == 0 {
		_, err := fmt.Fprintf(e.out, "%s: no sessions yet; a rehearsal leaves one\n", dir)
		return err
	}
	t := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "began\tshow\theard\tfired\ttaps\tsession")
	for _, name := range names {
		fmt.Fprintln(t, sessionLine(dir, name))
	}
	return t.Flush()
}

// sessionLine tells a session in two lines: its figures, and its verdict.
func sessionLine(dir, name string) string {
	log, err := readLog(filepath.Join(dir, name))
	if err != nil {
		return fmt.Sprintf("%s: %v", name, errors.Unwrap(err))
	}
	run, err := report.From(log)
	if err != nil {
		return fmt.Sprintf("%s: %v", name, err)
	}
	who, err := whoTapped("", log.Header)
	if err != nil {
		return fmt.Sprintf("%s: %v", name, err)
	}
	s := report.NewSheet(name, run, who)
	verdict := s.Verdict()
	if !run.Started() {
		verdict = "no music was played"
	}
	switch {
	case run.Torn:
		verdict = "TORN OFF; " + verdict
	case !run.Closed:
		verdict = "NOT CLOSED; " + verdict
	}
	h := log.Header
	return fmt.Sprintf("%s\t%s\t%s\t%d of %d\t%d\t%s\n  %s", h.Began.Local().Format("2006-01-02 15:04"), show.Clean(h.Title),
		timebase.ClockMillis(run.At(run.Heard)), run.Count(report.Fired), len(run.Cues), len(run.Taps), show.Clean(name), verdict)
}

func sessionsDir() string { return filepath.Join(xdg.DataHome, "drylane", "sessions") }

// sessionNames lists the session logs in dir, the oldest first: their names
// begin with the time. A folder that is not there has none.
func sessionNames(dir string) ([]string, error) {
	list, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("%s: the folder cannot be read: %w", dir, disk.Plain(err))
	}
	var names []string
	for _, f := range list {
		if strings.HasSuffix(f.Name(), ".jsonl") && !f.IsDir() {
			names = append(names, f.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

// findSession reads a session, by any name that sessionPath takes, and returns
// its path. A torn session is told of.
func (e *env) findSession(name string) (log *session.Log, path string, err error) {
	if path, err = sessionPath(name); err != nil {
		return nil, "", err
	}
	if log, err = readLog(path); err == nil && log.Torn {
		fmt.Fprintf(e.errOut, "%s: the last line is cut off; it was left out\n", name)
	}
	return log, path, err
}

// sessionPath is where a session lies: a path, a name in the user's data
// folder, or "last" for the newest there.
func sessionPath(name string) (string, error) {
	there := func(path string) bool {
		_, err := os.Stat(path)
		return err == nil
	}
	dir := sessionsDir()
	switch {
	case there(name):
	case name == "last":
		names, err := sessionNames(dir)
		if err != nil {
			return "", err
		}
		if len(names) == 0 {
			return "", fmt.Errorf("last: found no session in %s; wanted one from a rehearsal", dir)
		}
		name = filepath.Join(dir, names[len(names)-1])
	case filepath.Base(name) == name && there(filepath.Join(dir, name)):
		name = filepath.Join(dir, name)
	}
	return name, nil
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
	log, _, err := e.findSession(name)
	if err != nil {
		return nil, err
	}
	run, err := report.From(log)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	who, err := whoTapped(person, log.Header)
	if err != nil {
		return nil, err
	}
	return report.NewSheet(filepath.Base(name), run, who), nil
}
