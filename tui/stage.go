package tui

import (
	"sync/atomic"
	"time"

	"drylane/show"
	"drylane/show/drift"

	tea "github.com/charmbracelet/bubbletea"
)

// An aside is a screen that stands in the console's place for a while.
type aside interface {
	tea.Model
	// arrived is the screen interface's.
	arrived(in input, at time.Time) tea.Msg
}

// A Stage shows the console and, while the show is safe and the key for it is
// pressed, a sound check or a calibration in its place. The run goes on being
// watched behind it.
type Stage struct {
	*Console
	openCheck     func() (CheckSetup, error)
	openCalibrate func() (CalibrateSetup, error)
	side          atomic.Pointer[aside] // nil while the console is shown
	size          tea.WindowSizeMsg

	trouble string // why the screen that was asked for did not open
}

// NewStage returns the stage of a console. check gets a desk ready and starts
// it; leaving the check quits that desk. calibrate gets a metronome ready.
func NewStage(m *Console, check func() (CheckSetup, error), calibrate func() (CalibrateSetup, error)) *Stage {
	return &Stage{Console: m, openCheck: check, openCalibrate: calibrate}
}

// A sideLeft is the end of the screen in the console's place.
type sideLeft struct{ side *aside }

// aside returns what stands in the console's place, or nil.
func (s *Stage) aside() aside {
	if p := s.side.Load(); p != nil {
		return *p
	}
	return nil
}

// Update implements tea.Model.
func (s *Stage) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
		if a := s.aside(); a != nil {
			a.Update(msg)
		}
	case sideLeft:
		s.side.CompareAndSwap(msg.side, nil)
		return s, nil
	case tickMsg: // the console keeps watching the run
	default:
		if a := s.aside(); a != nil {
			_, cmd := a.Update(msg)
			return s, cmd
		}
		if k, ok := msg.(KeyMsg); ok {
			if s.trouble = ""; s.wantsAside(k) {
				return s, s.begin(s.Keys.Find(k.Key).Act)
			}
		}
	}
	_, cmd := s.Console.Update(msg)
	return s, cmd
}

// wantsAside reports whether a key asks for another screen, and may.
func (s *Stage) wantsAside(k KeyMsg) bool {
	b := s.Keys.Find(k.Key)
	return b != nil && (b.Act == ActCheck || b.Act == ActCalibrate) && !s.Typing() && s.overlay == noOverlay &&
		s.snap.Transport.State() == show.Safe
}

func (s *Stage) begin(act Act) tea.Cmd {
	side := new(aside)
	if act == ActCalibrate {
		setup, err := s.openCalibrate()
		if err != nil {
			s.trouble = "no calibration: " + err.Error()
			return nil
		}
		setup.Leave = func(habit *drift.Config) tea.Msg {
			if habit != nil {
				s.Tapper = *habit
			}
			return sideLeft{side}
		}
		*side = NewCalibration(setup)
	} else {
		setup, err := s.openCheck()
		if err != nil {
			s.trouble = "no sound check: " + err.Error()
			return nil
		}
		setup.Leave = func() tea.Msg { return sideLeft{side} }
		*side = NewSoundCheck(setup)
	}
	(*side).Update(s.size)
	s.side.Store(side)
	return (*side).Init()
}

// View implements tea.Model.
func (s *Stage) View() string {
	if a := s.aside(); a != nil {
		return a.View()
	}
	if s.trouble == "" || s.lay.tooSmall {
		return s.Console.View()
	}
	s.draw()
	c, r := &s.canvas, s.lay.message
	c.fill(r, ' ', Normal)
	c.text(r.x+1, r.y, r.w-2, s.trouble, Alarm)
	return c.render(s.Theme)
}

func (s *Stage) arrived(in input, at time.Time) tea.Msg {
	if a := s.aside(); a != nil {
		return a.arrived(in, at)
	}
	return s.Console.arrived(in, at)
}
