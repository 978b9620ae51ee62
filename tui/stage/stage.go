// Package stage switches between the console and the screens that stand in its
// place while the show is safe: the sound check and the calibration.
package stage

import (
	"fmt"
	"sync/atomic"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/tui/calibrate"
	"drylane/tui/console"
	"drylane/tui/screen"
	"drylane/tui/soundcheck"

	tea "github.com/charmbracelet/bubbletea"
)

// A Screen shows the console and, while the show is safe and the key for it is
// pressed, a sound check or a calibration in its place. The run goes on being
// watched behind it.
type Screen struct {
	*console.Screen
	openCheck     func() (soundcheck.Setup, error)
	openCalibrate func() (calibrate.Setup, error)
	side          atomic.Pointer[screen.Model] // nil while the console is shown
	size          tea.WindowSizeMsg
}

// New returns the stage of a console. check gets a desk ready and starts
// it; leaving the check quits that desk. calibrate gets a metronome ready.
func New(m *console.Screen, check func() (soundcheck.Setup, error), calibrate func() (calibrate.Setup, error)) *Screen {
	s := &Screen{Screen: m, openCheck: check, openCalibrate: calibrate}
	m.Aside = s.begin
	return s
}

// A sideLeft is the end of the screen in the console's place.
type sideLeft struct{ side *screen.Model }

// aside returns what stands in the console's place, or nil.
func (s *Screen) aside() screen.Model {
	if p := s.side.Load(); p != nil {
		return *p
	}
	return nil
}

// Update implements tea.Model.
func (s *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if left, ok := msg.(sideLeft); ok {
		if s.side.CompareAndSwap(left.side, nil) {
			s.Back()
		}
		return s, nil
	}
	a := s.aside()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
	case screen.TickMsg: // the console keeps watching the run
	default:
		if a != nil {
			_, cmd := a.Update(msg)
			return s, cmd
		}
	}
	_, cmd := s.Screen.Update(msg)
	if a != nil {
		_, also := a.Update(msg)
		cmd = tea.Batch(cmd, also)
	}
	return s, cmd
}

// begin puts the screen of an act in the console's place.
func (s *Screen) begin(act screen.Act) (tea.Cmd, error) {
	side := new(screen.Model)
	if act == console.ActCalibrate {
		setup, err := s.openCalibrate()
		if err != nil {
			return nil, fmt.Errorf("no calibration: %w", err)
		}
		setup.Leave = func(habit *drift.Config) tea.Msg {
			if habit != nil {
				s.Tapper, s.Uncalibrated = *habit, ""
			}
			return sideLeft{side}
		}
		*side = calibrate.New(setup)
	} else {
		setup, err := s.openCheck()
		if err != nil {
			return nil, fmt.Errorf("no sound check: %w", err)
		}
		setup.Leave = func() tea.Msg { return sideLeft{side} }
		*side = soundcheck.New(setup)
	}
	(*side).Update(s.size)
	s.side.Store(side)
	return (*side).Init(), nil
}

// View implements tea.Model.
func (s *Screen) View() string {
	if a := s.aside(); a != nil {
		return a.View()
	}
	return s.Screen.View()
}

// Arrived implements screen.Model.
func (s *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	if a := s.aside(); a != nil && s.safe() {
		return a.Arrived(in, at)
	}
	return s.Screen.Arrived(in, at)
}

// safe reports whether the run is. While it is not, though another screen stands in
// the console's place, the keys for hold and cut are the console's.
func (s *Screen) safe() bool { return s.Run.Snapshot().Transport.State() == show.Safe }
