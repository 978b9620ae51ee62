package sessions

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/report"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Line tells of a session in a list of them. All texts may be shown.
type Line struct {
	Name    string
	Began   time.Time
	Show    string
	Heard   string // how far the music was played
	Fired   string // "215 of 219"
	Taps    int
	Person  string // who is named in it; may be empty
	Drill   string // its name; empty for a rehearsal
	Score   string // of a drill, of 100; empty where nothing was scored
	Verdict string // what the taps tell, and what is wrong with the log
	Wrong   string // why it does not read; the rest is zero then
}

// List reads the session logs in dir, the last that was started at the end. What does
// not read stands first.
func List(dir string) ([]Line, error) {
	names, err := Names(dir)
	if err != nil {
		return nil, err
	}
	lines := make([]Line, len(names))
	for i, name := range names {
		if err := lines[i].read(dir, name); err != nil {
			lines[i] = Line{Name: show.Clean(name), Wrong: show.Clean(err.Error())}
		}
	}
	slices.SortStableFunc(lines, func(a, b Line) int { return a.Began.Compare(b.Began) })
	return lines, nil
}

// read fills a line from the session of that name.
func (l *Line) read(dir, name string) error {
	log, err := Read(filepath.Join(dir, name))
	if err != nil {
		return cmp.Or(errors.Unwrap(err), err) // without the path
	}
	run, err := report.From(log)
	if err != nil {
		return err
	}
	who, err := whoTapped("", log.Header)
	if err != nil {
		return err
	}
	h := log.Header
	*l = Line{
		Name: show.Clean(name), Began: h.Began, Show: show.Clean(h.Title), Person: show.Clean(h.Person),
		Heard: timebase.ClockMillis(run.At(run.Heard)), Fired: fmt.Sprintf("%d of %d", run.Count(report.Fired), len(run.Cues)),
		Taps: len(run.Taps), Verdict: verdict(name, run, who),
	}
	if h.Drill != nil {
		l.Drill, l.Score = show.Clean(h.Drill.Name), score(name, log)
	}
	return nil
}

// verdict is what the taps of a run tell, and what is wrong with its log.
func verdict(name string, run *report.Run, who report.Person) string {
	sheet := report.NewSheet(name, run, who)
	v := sheet.Verdict()
	if sheet.Places != nil {
		v += "; listeners: " + sheet.Places.Verdict.Text
	}
	if !run.Started() {
		v = "no music was played"
	}
	switch {
	case run.Torn:
		return "TORN OFF; " + v
	case !run.Closed:
		return "NOT CLOSED; " + v
	}
	return v
}

// score is what a drill got, empty where it cannot be said.
func score(name string, log *session.Log) string {
	r, err := drill.FromLog(name, log)
	if err != nil || !r.Scored {
		return ""
	}
	return fmt.Sprint(r.Score)
}
