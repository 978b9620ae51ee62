package sessions

import (
	"errors"
	"fmt"
	"path/filepath"

	"drylane/playback/people"
	"drylane/show"
	"drylane/show/report"
	"drylane/show/session"
	"drylane/show/timebase"
)

// Sheet reads a session and analyses it. person says whose taps they are; empty
// for whom the session names. torn reports whether the last line is cut off.
func Sheet(name, person string) (s *report.Sheet, torn bool, err error) {
	log, path, err := Find(name)
	if err != nil {
		return nil, false, err
	}
	run, err := report.From(log)
	if err != nil {
		return nil, log.Torn, fmt.Errorf("%s: %w", show.Clean(name), err)
	}
	who, err := whoTapped(person, log.Header)
	if err != nil {
		return nil, log.Torn, err
	}
	return report.NewSheet(filepath.Base(path), run, who), log.Torn, nil
}

// SheetOf analyses the session at path with the habit of the person who tapped.
func SheetOf(path string, p people.Person) (*report.Sheet, error) {
	log, err := Read(path)
	if err != nil {
		return nil, err
	}
	run, err := report.From(log)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", show.Clean(path), err)
	}
	return report.NewSheet(filepath.Base(path), run, report.Person{Name: p.Name, Bias: p.Bias(), Calibrated: p.Taps > 0}), nil
}

// Line tells a session in two lines: its figures, and its verdict.
func Line(dir, name string) string {
	wrong := func(err error) string { return show.Clean(fmt.Sprintf("%s: %v", name, err)) }
	log, err := Read(filepath.Join(dir, name))
	if err != nil {
		return wrong(errors.Unwrap(err))
	}
	run, err := report.From(log)
	if err != nil {
		return wrong(err)
	}
	who, err := whoTapped("", log.Header)
	if err != nil {
		return wrong(err)
	}
	verdict := report.NewSheet(name, run, who).Verdict()
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

// whoTapped returns whose taps a session holds: who is asked for, else who the
// session names. Only somebody asked for must be calibrated.
func whoTapped(asked string, h session.Header) (report.Person, error) {
	name := asked
	if name == "" {
		name = show.Clean(h.Person)
	}
	if name == "" {
		return report.Person{}, nil
	}
	p, err := people.Find(name)
	var none *people.NotCalibrated
	if errors.As(err, &none) && asked == "" {
		return report.Person{Name: name}, nil
	}
	if err != nil {
		return report.Person{}, err
	}
	return report.Person{Name: p.Name, Bias: p.Bias(), Calibrated: true}, nil
}
