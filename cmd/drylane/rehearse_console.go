package main

import (
	"context"
	"errors"
	"strings"
	"time"

	"drylane/playback"
	"drylane/playback/desk"
	"drylane/show/timebase"
	"drylane/tui"
)

// console runs the deck with a person at the keys.
func (e *env) console(r *rehearsal, f runFlags) error {
	stage, stop, err := e.stage(r, f)
	if err != nil {
		return err
	}
	err = tui.RunTerminal(e.ctx, stage, e.in, e.out)
	return errors.Join(err, stop())
}

// stage runs the deck and returns its console, with what else can stand in its
// place. stop ends the run.
func (e *env) stage(r *rehearsal, f runFlags) (stage *tui.Stage, stop func() error, err error) {
	setup, err := f.setup(e, r)
	if err != nil {
		return nil, nil, err
	}
	overview := newOverview(r.loaded)
	setup.Tapper = r.person.habit()
	setup.Timecode = timecodeOf(r.show, r.plan.Rate, r.plan.Length)
	if r.drill != nil { // nothing may give away what is planted
		setup.Brief = r.drill.briefing()
	} else {
		setup.Review = r.reviewMarks(e)
		setup.Lock = lockState(r.loaded)
	}
	setup.Wave, setup.Overview = overview.wave, overview.progress
	ctx, cancel := context.WithCancel(e.ctx)
	reading, stopReading := context.WithCancel(ctx)
	setup.StopOverview = stopReading
	go overview.build(reading)
	done := make(chan error, 1)
	go func() { done <- r.deck.Run(ctx) }()
	console := tui.NewConsole(setup)
	check := func() (tui.CheckSetup, error) { return r.beginCheck(ctx, e, f, console.Theme) }
	calibrate := func() (tui.CalibrateSetup, error) { return r.beginCalibrate(f, console.Theme) }
	stop = func() error {
		defer cancel()
		r.deck.Quit()
		return <-done
	}
	return tui.NewStage(console, check, calibrate), stop, nil
}

// beginCheck opens the sound check beside a show that is safe.
func (r *rehearsal) beginCheck(ctx context.Context, e *env, f runFlags, theme *tui.Theme) (tui.CheckSetup, error) {
	out := f.Out
	if strings.HasPrefix(out, "wav:") {
		out = "silent" // the file is the rehearsal's
	}
	sound := soundFlags{Out: out, Latency: f.Latency, Left: desk.LowGain.DB(), Right: desk.LowGain.DB(), Level: desk.StartLevel.DB()}
	setup, run, err := newCheck(r.show, r.fsys, r.folder).setup(e, sound, f.consoleFlags)
	if err != nil {
		return setup, err
	}
	setup.Theme = theme
	go run(ctx)
	return setup, nil
}

// An overview is the waveform, made in the background from a second handle on
// the soundtrack.
type overview struct {
	l     *loaded
	o     *playback.Overview
	began time.Time
}

func newOverview(l *loaded) *overview {
	return &overview{l, playback.NewOverview(l.music.Rate(), timebase.Frame(l.music.Len())), time.Now()}
}

func (v *overview) build(ctx context.Context) {
	// An error here is the music's, and the run comes upon it by itself; the
	// waveform then stays empty from there on.
	playback.Pass(ctx, v.l.show.Soundtrack.File, v.l.openFile, func(_ timebase.Frame, frames [][2]float64) error {
		v.o.Add(frames)
		return nil
	})
}

func (v *overview) wave(from, to timebase.Frame) (peak, rms [2]float32, ok bool) {
	return v.o.Column(from, to)
}

// progress returns how much has been read and how long the rest will take.
func (v *overview) progress() (float64, time.Duration) {
	total := float64(v.o.Len())
	if total == 0 {
		return 1, 0
	}
	done := float64(v.o.Built()) / total
	if done == 0 {
		return 0, 0
	}
	spent := time.Since(v.began)
	return done, time.Duration(float64(spent) * (1 - done) / done)
}
