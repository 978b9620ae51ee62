package main

import (
	"context"
	"errors"
	"time"

	"drylane/playback"
	"drylane/playback/metronome"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/tui/calibrate"
	"drylane/tui/screen"
)

// errLeft is the error of a calibration that was given up.
var errLeft = errors.New("left before the end; nothing was kept")

// clicksOn opens the output that the clicks are heard on.
func (c calibrateCmd) clicksOn() (playback.Output, error) {
	s, err := sink.Place{Where: c.Out, Speed: "1", Latency: c.Latency}.Sink(metronome.Rate, 50*time.Millisecond)
	if err != nil {
		return nil, err
	}
	if s.Quiet || s.Now == nil {
		s.Finish(false)
		return nil, errors.New("no sound device: the clicks must be heard; connect one, or give the taps with --taps FILE")
	}
	return s.Open()
}

// screen makes what the calibration needs to be shown: its clicks, and the
// judgement of the taps.
func (c calibrateCmd) screen(look screen.Look) (calibrate.Setup, error) {
	out, err := c.clicksOn()
	if err != nil {
		return calibrate.Setup{}, err
	}
	run := func(ctx context.Context, taps <-chan time.Time, progress func(int)) (calibrate.Result, error) {
		defer out.Close()
		clicks, heard, err := metronome.Play(ctx, out, taps, progress)
		if ctx.Err() != nil {
			return calibrate.Result{}, errLeft
		}
		if err != nil {
			return calibrate.Result{}, err
		}
		return c.judge(clicks, heard, out.Name())
	}
	return calibrate.Setup{Run: run, Wanted: metronome.Wanted, Output: show.Clean(out.Name()), Look: look}, nil
}

// listen plays the clicks to the person at the keys, and says what the taps
// told.
func (c calibrateCmd) listen(e *env) error {
	conf, err := readConfig()
	if err != nil {
		return err
	}
	setup, err := c.screen(c.look(e, conf))
	if err != nil {
		return err
	}
	m := calibrate.New(setup)
	if err := screen.Run(e.ctx, m, e.in, e.out); err != nil {
		m.End()
		return err
	}
	res, err := m.End()
	return said(e, res, err)
}

// beginCalibrate opens the calibration beside a show that is safe, on the
// output that the rehearsal uses. What it finds holds for the taps that follow,
// and is kept if the run names a person.
func beginCalibrate(f runFlags, look screen.Look) (calibrate.Setup, error) {
	c := calibrateCmd{Name: f.Person, Out: f.Out, Latency: f.Latency}
	if c.Out != "auto" && c.Out != "device" {
		c.Out = "auto"
	}
	return c.screen(look)
}
