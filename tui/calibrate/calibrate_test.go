package calibrate

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/calibration"
	"drylane/show/drift"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// newScreen is a calibration that wants three taps, and those that it got.
func newScreen(leave func(*drift.Config) tea.Msg) (*Screen, *[]time.Time) {
	var got []time.Time
	run := func(ctx context.Context, taps <-chan time.Time, progress func(int)) (calibration.Result, error) {
		for len(got) < 3 {
			select {
			case at := <-taps:
				got = append(got, at)
				progress(len(got))
			case <-ctx.Done():
				return calibration.Result{}, errors.New("left before the end")
			}
		}
		return calibration.Result{Lines: []string{"you tap 40 ms early"}, Habit: drift.Config{Bias: -40 * time.Millisecond}}, nil
	}
	m := New(Setup{Run: run, Wanted: 3, Taps: []string{"j", "f"}, Look: screen.Look{Theme: screen.PlainTheme()}, Leave: leave})
	m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	return m, &got
}

// judged begins the calibration; what it returns waits for its end.
func (m *Screen) judged() tea.Cmd {
	_, cmd := m.Update(m.Arrived(screen.Input{Key: "enter"}, screentest.Epoch))
	return cmd
}

// TestCalibration goes through a calibration: every tap carries its own time,
// keys that arrive together are one, and what comes of it is shown.
func TestCalibration(t *testing.T) {
	t.Parallel()
	var habit *drift.Config
	m, got := newScreen(func(h *drift.Config) tea.Msg { habit = h; return nil })
	screentest.Golden(t, "calibrate-80x24", m.View())
	m.Init()
	for _, key := range []string{"j", "space"} { // nothing sounds yet
		if _, cmd := m.Update(m.Arrived(screen.Input{Key: key}, screentest.Epoch.Add(-time.Second))); cmd != nil || m.begun {
			t.Fatalf("%s began the clicks", key)
		}
	}
	<-m.taps
	judged := m.judged()
	screentest.Golden(t, "calibrating-80x24", m.View())
	if again := m.judged(); again != nil {
		t.Error("the key that begins them began the clicks twice")
	}
	for i, keys := range []string{"j", "x", "jf", "f", " "} {
		for after, key := range keys { // of one read, each a nanosecond after the one before
			m.Update(m.Arrived(screen.Input{Key: strings.ReplaceAll(string(key), " ", "space")}, screentest.Epoch.Add(time.Duration(i)*time.Second+time.Duration(after))))
		}
	}
	m.Update(judged())
	want := []time.Time{screentest.Epoch, screentest.Epoch.Add(2 * time.Second), screentest.Epoch.Add(3 * time.Second)}
	if !slices.Equal(*got, want) {
		t.Errorf("taps at %v, want %v", *got, want)
	}
	screentest.Golden(t, "calibrated-80x24", m.View())
	_, cmd := m.Update(screen.KeyMsg{Key: "q"})
	if cmd(); habit == nil || habit.Bias != -40*time.Millisecond {
		t.Errorf("left with %+v", habit)
	}
}

// TestGivenUp leaves early, by a key or because the keys have ended, with the clicks
// begun or not: they end, and there is no habit.
func TestGivenUp(t *testing.T) {
	t.Parallel()
	for i, msg := range []tea.Msg{screen.KeyMsg{Key: "esc"}, screen.GoneMsg{}, screen.KeyMsg{Key: "q"}, screen.GoneMsg{}} {
		begun := i < 2
		left := false
		m, _ := newScreen(func(habit *drift.Config) tea.Msg { left = habit == nil; return nil })
		if begun {
			m.judged()
		}
		_, cmd := m.Update(msg)
		if _, err := m.End(); err == nil {
			t.Error("the clicks went on")
		}
		if cmd(); !left {
			t.Error("not left, or with a habit that nobody measured")
		}
	}
}

// TestAlone: with no console to go back to, the program ends with the last tap
// and knows the result.
func TestAlone(t *testing.T) {
	t.Parallel()
	m, _ := newScreen(nil)
	judged := m.judged()
	m.Output = "Test Speakers"
	if v := m.View(); !strings.Contains(v, "q leave") || !strings.Contains(v, "The clicks come on Test Speakers.") {
		t.Errorf("%s", v)
	}
	for i := range 3 {
		m.Update(m.Arrived(screen.Input{Key: "f"}, screentest.Epoch.Add(time.Duration(i)*time.Second)))
	}
	_, cmd := m.Update(judged())
	if _, ok := cmd().(tea.QuitMsg); !ok {
		t.Error("the program goes on")
	}
	if res, err := m.End(); err != nil || len(res.Lines) != 1 || res.Habit.Bias != -40*time.Millisecond {
		t.Errorf("%+v, %v", res, err)
	}
}

// TestKeysThatTap: the keys are those that tap in a show, whichever they are; what
// holds a show never counts.
func TestKeysThatTap(t *testing.T) {
	t.Parallel()
	m, got := newScreen(nil)
	m.Taps = []string{"x", "left"}
	if v := m.View(); !strings.Contains(v, ": x or ←.") || strings.Contains(v, "space") {
		t.Errorf("%s", v)
	}
	judged := m.judged()
	for i, key := range []string{"x", "space", "j", "enter", "left", "x"} {
		m.Update(m.Arrived(screen.Input{Key: key}, screentest.Epoch.Add(time.Duration(i)*time.Second)))
	}
	judged()
	if len(*got) != 3 {
		t.Errorf("%d taps, want 3", len(*got))
	}
}
