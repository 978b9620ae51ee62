package tui

import (
	"sync/atomic"
	"time"

	"drylane/show"

	tea "github.com/charmbracelet/bubbletea"
)

// A Stage shows the console and, while the show is safe and the key for it is
// pressed, a sound check in its place. The run goes on being watched behind it.
type Stage struct {
	*Console
	open  func() (CheckSetup, error)
	check atomic.Pointer[SoundCheck] // nil while the console is shown
	size  tea.WindowSizeMsg

	trouble string // why the sound check did not open
}

// NewStage returns the stage of a console. open gets a desk ready and starts
// it; leaving the check quits that desk.
func NewStage(m *Console, open func() (CheckSetup, error)) *Stage {
	return &Stage{Console: m, open: open}
}

// A checkLeft is the end of the sound check.
type checkLeft struct{ check *SoundCheck }

// Update implements tea.Model.
func (s *Stage) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
		if c := s.check.Load(); c != nil {
			c.Update(msg)
		}
	case checkLeft:
		s.check.CompareAndSwap(msg.check, nil)
		return s, nil
	case tickMsg: // the console keeps watching the run
	default:
		if c := s.check.Load(); c != nil {
			_, cmd := c.Update(msg)
			return s, cmd
		}
		if k, ok := msg.(KeyMsg); ok {
			if s.trouble = ""; s.wantsCheck(k) {
				return s, s.begin()
			}
		}
	}
	_, cmd := s.Console.Update(msg)
	return s, cmd
}

// wantsCheck reports whether a key asks for the sound check, and may.
func (s *Stage) wantsCheck(k KeyMsg) bool {
	b := s.Keys.Find(k.Key)
	return b != nil && b.Act == ActCheck && !s.Typing() && s.overlay == noOverlay && s.snap.Transport.State() == show.Safe
}

func (s *Stage) begin() tea.Cmd {
	setup, err := s.open()
	if err != nil {
		s.trouble = err.Error()
		return nil
	}
	var c *SoundCheck
	setup.Leave = func() tea.Msg { return checkLeft{c} }
	c = NewSoundCheck(setup)
	c.Update(s.size)
	s.check.Store(c)
	return c.Init()
}

// View implements tea.Model.
func (s *Stage) View() string {
	if c := s.check.Load(); c != nil {
		return c.View()
	}
	if s.trouble == "" || s.lay.tooSmall {
		return s.Console.View()
	}
	s.draw()
	c, r := &s.canvas, s.lay.message
	c.fill(r, ' ', Normal)
	c.text(r.x+1, r.y, r.w-2, "no sound check: "+s.trouble, Alarm)
	return c.render(s.Theme)
}

func (s *Stage) arrived(in input, at time.Time) tea.Msg {
	if c := s.check.Load(); c != nil {
		return c.arrived(in, at)
	}
	return s.Console.arrived(in, at)
}
