package tui

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"drylane/show/drift"

	tea "github.com/charmbracelet/bubbletea"
)

// newCalibration is a stage whose calibration wants three taps.
func newCalibration(t *testing.T) (*Stage, *scene, *[]time.Time) {
	t.Helper()
	s := newScene(t, 80, 24)
	var got []time.Time
	run := func(ctx context.Context, taps <-chan time.Time, progress func(int)) ([]string, drift.Config, error) {
		for len(got) < 3 {
			select {
			case at := <-taps:
				got = append(got, at)
				progress(len(got))
			case <-ctx.Done():
				return nil, drift.Config{}, errors.New("left before the end")
			}
		}
		return []string{"you tap 40 ms early"}, drift.Config{Bias: -40 * time.Millisecond}, nil
	}
	stage := NewStage(s.Console, nil, func() (CalibrateSetup, error) {
		return CalibrateSetup{Run: run, Wanted: 3, Theme: PlainTheme()}, nil
	})
	stage.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	return stage, s, &got
}

// TestCalibration goes through a calibration: every tap carries its own time,
// what comes of it is shown and holds for the taps that follow.
func TestCalibration(t *testing.T) {
	stage, s, got := newCalibration(t)
	stage.Update(KeyMsg{Key: "k"})
	golden(t, "calibrate-80x24", stage.View())
	side := stage.aside().(*Calibration)
	for i, key := range []string{"j", "x", "space", "f"} {
		stage.Update(stage.arrived(input{key: key}, epoch.Add(time.Duration(i)*time.Second)))
	}
	lines, habit, err := side.Run(side.ctx, side.taps, func(n int) { side.count.Store(int64(n)) })
	stage.Update(calibrated{lines, habit, err})
	want := []time.Time{epoch, epoch.Add(2 * time.Second), epoch.Add(3 * time.Second)}
	for i := range want {
		if !(*got)[i].Equal(want[i]) {
			t.Errorf("tap %d at %v, want %v", i, (*got)[i], want[i])
		}
	}
	golden(t, "calibrated-80x24", stage.View())
	if len(s.run.did) > 0 {
		t.Errorf("the show was asked for %s", s.run.list())
	}
	_, cmd := stage.Update(KeyMsg{Key: "q"})
	stage.Update(cmd())
	if v := stage.View(); !strings.Contains(v, "SAFE") || s.Tapper.Bias != -40*time.Millisecond {
		t.Errorf("after q: bias %v\n%s", s.Tapper.Bias, v)
	}
}

// TestCalibrationGivenUp leaves early: the clicks end, and nothing is applied.
func TestCalibrationGivenUp(t *testing.T) {
	stage, s, _ := newCalibration(t)
	stage.Update(KeyMsg{Key: "k"})
	side := stage.aside().(*Calibration)
	_, cmd := stage.Update(KeyMsg{Key: "esc"})
	if _, _, err := side.Run(side.ctx, side.taps, nil); err == nil {
		t.Error("the clicks go on")
	}
	stage.Update(cmd())
	if stage.aside() != nil || s.Tapper.Bias != 0 {
		t.Error("not left, or something was applied")
	}
}
