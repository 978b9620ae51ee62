package sessions

import (
	"errors"
	"fmt"
	"path/filepath"

	"drylane/playback/people"
	"drylane/show"
	"drylane/show/report"
	"drylane/show/session"
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
	return report.NewSheet(filepath.Base(path), run, tapper(p)), nil
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
	return tapper(p), nil
}

// tapper is somebody as a report knows them.
func tapper(p people.Person) report.Person {
	return report.Person{Name: p.Name, Bias: p.Bias(), Calibrated: p.Taps > 0, Scatter: p.Scatter(), Taps: p.Taps}
}
