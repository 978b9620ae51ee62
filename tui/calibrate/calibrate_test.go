package calibrate

import (
	"context"
	"errors"
	"testing"
	"time"

	"drylane/show/drift"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// newScreen is a calibration that wants three taps, and those that it got.
func newScreen() (*Screen, *[]time.Time) {
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
	m := New(Setup{Run: run, Wanted: 3, Theme: screen.PlainTheme(), Leave: func(*drift.Config) tea.Msg { return nil }})
	m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	return m, &got
}

// TestCalibration goes through a calibration: every tap carries its own time,
// and what comes of it is shown.
func TestCalibration(t *testing.T) {
	t.Parallel()
	m, got := newScreen()
	screentest.Golden(t, "calibrate-80x24", m.View())
	for i, key := range []string{"j", "x", "space", "f"} {
		m.Update(m.Arrived(screen.Input{Key: key}, screentest.Epoch.Add(time.Duration(i)*time.Second)))
	}
	lines, habit, err := m.Run(m.ctx, m.taps, func(n int) { m.count.Store(int64(n)) })
	m.Update(judgedMsg{lines, habit, err})
	want := []time.Time{screentest.Epoch, screentest.Epoch.Add(2 * time.Second), screentest.Epoch.Add(3 * time.Second)}
	for i := range want {
		if !(*got)[i].Equal(want[i]) {
			t.Errorf("tap %d at %v, want %v", i, (*got)[i], want[i])
		}
	}
	screentest.Golden(t, "calibrated-80x24", m.View())
}

// TestGivenUp leaves early: the clicks end, and there is no habit.
func TestGivenUp(t *testing.T) {
	t.Parallel()
	m, _ := newScreen()
	left := false
	m.Leave = func(habit *drift.Config) tea.Msg {
		left = habit == nil
		return nil
	}
	_, cmd := m.Update(screen.KeyMsg{Key: "esc"})
	if _, _, err := m.Run(m.ctx, m.taps, nil); err == nil {
		t.Error("the clicks go on")
	}
	if cmd(); !left {
		t.Error("not left, or with a habit that nobody measured")
	}
}
