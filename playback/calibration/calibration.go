// Package calibration finds out how early or late a person taps: it opens an output
// for the clicks, plays them, judges the taps, and keeps what it found.
package calibration

import (
	"context"
	"errors"
	"fmt"
	"time"

	"drylane/playback"
	"drylane/playback/metronome"
	"drylane/playback/people"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/words"
)

// A Result is what somebody's taps tell.
type Result struct {
	Lines []string // what is said of them, also when they cannot be used
	Habit drift.Config
}

// Wanted is how many taps a calibration asks for.
const Wanted = metronome.Wanted

// A Session is a calibration whose clicks can be played.
type Session struct {
	name string
	out  playback.Output
}

// ErrLeft is the error of a calibration that was given up.
var ErrLeft = errors.New("left before the end; nothing was kept")

// Open opens the output that the clicks are heard on: auto or device. What is
// found is kept under the name, unless that is empty. Run must follow.
func Open(name, where string, latency time.Duration) (*Session, error) {
	s, err := sink.Place{Where: where, Speed: "1", Latency: latency}.Sink(metronome.Rate, 50*time.Millisecond)
	if err != nil {
		return nil, err
	}
	if s.Quiet || s.Now == nil {
		s.Finish(false)
		return nil, errors.New("no sound device: the clicks must be heard; connect one, or give the taps with --taps FILE")
	}
	out, err := s.Open()
	return &Session{name, out}, err
}

// Output is what the clicks are heard on; it may stand on a screen.
func (s *Session) Output() string { return show.Clean(s.out.Name()) }

// Run plays the clicks and takes taps, each the moment at which its key went down,
// until there are Wanted of them or ctx ends, and judges them. progress is told how
// many there are.
func (s *Session) Run(ctx context.Context, taps <-chan time.Time, progress func(taps int)) (Result, error) {
	defer s.out.Close()
	if ctx.Err() != nil { // before a sound
		return Result{}, ErrLeft
	}
	clicks, heard, err := metronome.Play(ctx, s.out, taps, progress)
	if ctx.Err() != nil {
		return Result{}, ErrLeft
	}
	if err != nil {
		return Result{}, err
	}
	return judge(s.name, clicks, heard, s.Output())
}

// FromFile judges the taps of a file, to clicks from metronome.First on.
func FromFile(name, path string) (Result, error) {
	taps, err := readTapsFile(path)
	if err != nil {
		return Result{}, err
	}
	// The clicks end with the taps.
	clicks := metronome.Clicks(taps[len(taps)-1]+metronome.Every/2, maxTaps)
	return judge(name, clicks, taps, "taps from a file")
}

// judge says what the taps tell and keeps it under a name if it can be used. An
// empty name is not kept. output is what the clicks were heard on.
func judge(name string, clicks, taps []time.Duration, output string) (res Result, err error) {
	if len(clicks) < drift.MinTicks {
		return res, fmt.Errorf("found %d clicks tapped along with; wanted at least %d", len(clicks), drift.MinTicks)
	}
	cal, err := drift.Calibrate(clicks, taps)
	if err != nil {
		return res, err
	}
	res.Habit = drift.Config{Bias: cal.Bias}
	res.Lines = []string{cal.Text}
	if cal.Dropped > 0 {
		res.Lines = append(res.Lines, fmt.Sprintf("left out: %s, second ones at a click and outliers", words.Count(cal.Dropped, "tap")))
	}
	res.Lines = append(res.Lines, "published: people tap some tens of ms ahead of a click (Aschersleben 2002), mostly 20 to 80 ms, musicians less (Repp 2005)")
	switch cal.Habit {
	case drift.HabitUnknown, drift.HabitUnsteady, drift.HabitReacting:
		return res, errors.New("nothing was kept: these taps cannot be used")
	}
	if name == "" {
		res.Lines = append(res.Lines, "not kept; give a name with --name NAME to use it with --person NAME")
		return res, nil
	}
	p := people.Person{Name: name, BiasMS: milliseconds(cal.Bias), ScatterMS: milliseconds(cal.Scatter), Taps: cal.Used,
		Output: show.Clean(output), Measured: time.Now().Truncate(time.Second)}
	path, err := p.Save()
	if err != nil {
		return res, err
	}
	res.Lines = append(res.Lines, fmt.Sprintf("kept for %s: %s", name, path))
	return res, nil
}

// milliseconds is d in tenths of a millisecond: no calibration is finer.
func milliseconds(d time.Duration) float64 {
	return float64(d.Round(100*time.Microsecond).Microseconds()) / 1000
}
