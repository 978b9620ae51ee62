// Package instructor is the screen of a second person, who watches a trainee's
// run and sets it tasks.
package instructor

import (
	"time"

	"drylane/playback/instruct"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A Link is the way to the run that is instructed; instruct.Client is one.
type Link interface {
	View() instruct.View
	// Ask may wait a moment. The answer comes in the View.
	Ask(instruct.Request) error
}

// Setup is what an instructor's screen is made from.
type Setup struct {
	Hello instruct.Hello
	Link  Link
	screen.Look
	Now func() time.Time
}

// A Screen is the tea model of the instructor's screen: what the trainee does,
// and what the instructor does to the run. It has no run of its own; leaving it
// changes nothing for the trainee.
type Screen struct {
	Setup
	keys    *screen.Keymap
	overlay overlay
	menu    screen.List  // of what the open menu offers
	speaker int          // index into speakers
	text    screen.Field // of the message that is being written
	want    int          // index into radioWants
	helpTop int

	view     instruct.View
	faults   faults
	now      time.Time
	answerAt time.Time // when the latest answer was first seen
	trouble  string    // why the latest request could not be sent

	lay    layout
	canvas screen.Canvas
	ticks  screen.Ticker
}

type overlay uint8

const (
	noMenu overlay = iota
	radioMenu
	writeMenu
	faultMenu
	endMenu // asks
	keysMenu
)

// New returns the screen of an instructor.
func New(s Setup) *Screen {
	if s.Now == nil {
		s.Now = time.Now
	}
	m := &Screen{Setup: s, keys: screen.MustKeymap(keyTable), text: screen.Field{Most: instruct.MaxText}}
	m.look(s.Now())
	return m
}

// An askedMsg says that a request was sent, or why not.
type askedMsg struct{ err error }

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return m.ticks.Next() }

// look takes what has come from the trainee's side.
func (m *Screen) look(now time.Time) {
	answered, seen := m.view.Answered, m.faults.seen
	m.now, m.view = now, m.Link.View()
	if m.view.Answered != answered {
		m.answerAt, m.trouble = now, ""
	}
	if n := len(m.view.Events); n > 0 && m.view.Events[n-1].N != seen {
		m.faults = faultsIn(m.view.Events)
	}
	if m.view.Ended != "" && m.overlay != keysMenu {
		m.close()
	}
}

// stale is how old the state is that is shown.
func (m *Screen) stale() time.Duration {
	if m.view.At.IsZero() {
		return 0
	}
	return max(0, m.now.Sub(m.view.At))
}

// passed is how far the run is taken to have gone on since the state that is
// shown: states come five times a second, and what is late may have stopped.
func (m *Screen) passed() time.Duration {
	if m.view.Ended != "" {
		return 0
	}
	return min(m.stale(), 400*time.Millisecond)
}

// Update implements tea.Model.
func (m *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.canvas.Resize(msg)
		m.lay = arrange(m.canvas.W, m.canvas.H)
	case screen.TickMsg:
		if !m.ticks.Owns(msg) {
			return m, nil
		}
		m.look(m.Now())
		return m, m.ticks.Next()
	case askedMsg:
		if msg.err != nil {
			m.trouble = msg.err.Error()
		}
	case screen.KeyMsg:
		return m, m.key(msg.Key)
	case screen.PasteMsg:
		if m.overlay == writeMenu {
			m.text.Add(string(msg))
		}
	case screen.MouseMsg:
		m.menu.Move(msg.Wheel)
	case tea.ResumeMsg:
		return m, m.ticks.Restart()
	}
	return m, nil
}

// Arrived implements screen.Model: nothing here cannot wait.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg { return in.Msg(at) }
