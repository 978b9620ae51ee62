package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"drylane/playback/accents"
	"drylane/playback/companion"
	"drylane/playback/desk"
	"drylane/playback/inspect"
	"drylane/playback/rehearsal"
	"drylane/show/drill"
	"drylane/tui/calibrate"
	"drylane/tui/console"
	"drylane/tui/screen"
	tuicheck "drylane/tui/soundcheck"
	"drylane/tui/stage"
)

// console runs the deck with a person at the keys.
func (e *env) console(r *rehearsal.Run, f runFlags) error {
	ctx, cancel := context.WithCancel(e.ctx)
	defer cancel()
	m, err := e.stage(ctx, r, f)
	if err != nil {
		return err
	}
	if r.Drill != nil {
		leave, err := r.LetInstructorsIn()
		if err != nil {
			fmt.Fprintln(e.errOut, "no instructor can come in: "+cleanLines(err.Error()))
		}
		defer leave()
	}
	stop := r.Go(ctx)
	err = screen.Run(ctx, m, e.in, e.out)
	return errors.Join(err, stop())
}

// stage returns the console of a run, with what else can stand in its place. What
// it does in the background ends with ctx.
func (e *env) stage(ctx context.Context, r *rehearsal.Run, f runFlags) (*stage.Screen, error) {
	setup, err := f.setup(e, r)
	if err != nil {
		return nil, err
	}
	overview := rehearsal.NewOverview(r.Folder)
	setup.Tapper = r.Person.Habit()
	setup.Timecode = companion.TimecodeOf(r.Show, r.Plan.Rate, r.Plan.Length)
	if r.Drill != nil { // nothing may give away what is planted
		setup.Brief = &console.Briefing{Text: r.Drill.Drill.Briefing, Foot: drill.Caution}
	} else {
		setup.Review = accents.Earlier(ctx, r.Folder, r.Plan)
		setup.Stops, setup.Lock = inspect.Stops(r.Folder), inspect.ReadLock(ctx, r.Folder).Words
	}
	setup.Wave, setup.Overview = overview.Wave, overview.Progress
	reading, stopReading := context.WithCancel(ctx)
	setup.StopOverview = stopReading
	go overview.Build(reading)
	c := console.New(setup)
	check := func() (tuicheck.Setup, error) { return e.beginCheck(ctx, r, f, c.Theme) }
	taps := func() (calibrate.Setup, error) { return beginCalibrate(f, c.Theme) }
	return stage.New(c, check, taps), nil
}

// beginCheck opens the sound check beside a show that is safe.
func (e *env) beginCheck(ctx context.Context, r *rehearsal.Run, f runFlags, theme *screen.Theme) (tuicheck.Setup, error) {
	out := f.Out
	if strings.HasPrefix(out, "wav:") {
		out = "silent" // the file is the rehearsal's
	}
	sound := desk.Sound{Out: out, Latency: f.Latency, Left: desk.LowGain.DB(), Right: desk.LowGain.DB(), Level: desk.StartLevel.DB()}
	setup, run, err := e.checkSetup(desk.NewLibrary(r.Show, r.Files, r.Path), sound, f.consoleFlags)
	if err != nil {
		return setup, err
	}
	setup.Theme = theme
	go run(ctx)
	return setup, nil
}
