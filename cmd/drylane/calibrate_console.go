package main

import (
	"context"
	"strings"
	"time"

	"drylane/show/drift"
	"drylane/tui/calibrate"
	"drylane/tui/screen"
)

// beginCalibrate opens the calibration beside a show that is safe, on the
// output that the rehearsal uses. What it finds holds for the taps that follow,
// and is kept if the run names a person.
func beginCalibrate(f runFlags, theme *screen.Theme) (calibrate.Setup, error) {
	c := calibrateCmd{Name: f.Person, Out: f.Out, Latency: f.Latency}
	if c.Out != "auto" && c.Out != "device" {
		c.Out = "auto"
	}
	out, err := c.clicksOn()
	if err != nil {
		return calibrate.Setup{}, err
	}
	run := func(ctx context.Context, taps <-chan time.Time, progress func(int)) ([]string, drift.Config, error) {
		defer out.Close()
		keys := make(chan press)
		go func() {
			for {
				select {
				case at := <-taps:
					select {
					case keys <- press{at: at}:
					case <-ctx.Done():
						return
					}
				case <-ctx.Done():
					return
				}
			}
		}()
		ticks, heard, err := playMetronome(ctx, out, keys, progress)
		if err != nil {
			return nil, drift.Config{}, err
		}
		var said strings.Builder
		if err := c.judge(&env{out: &said}, ticks, heard, out.Name()); err != nil {
			return lines(said.String()), drift.Config{}, err
		}
		cal, err := drift.Calibrate(ticks, heard)
		return lines(said.String()), drift.Config{Bias: cal.Bias}, err
	}
	return calibrate.Setup{Run: run, Wanted: wantTaps, Theme: theme, ASCII: f.ASCII}, nil
}

func lines(s string) []string { return strings.Split(strings.TrimSpace(s), "\n") }
