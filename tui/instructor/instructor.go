// Package instructor is the screen of a second person, who watches a trainee's
// run and sets it tasks.
package instructor

import (
	"sync/atomic"
	"time"

	link "drylane/playback/crew"
	"drylane/show/drill"
	"drylane/tui/crew"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// Setup is what an instructor's screen is made from.
type Setup struct {
	Link crew.Link
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
	typing  atomic.Bool // a message is being written, or the key for that is on its way

	view     link.View
	faults   drill.Faults
	now      time.Time
	answerAt time.Time // when the latest answer was first seen
	calledAt time.Time // when HOLD was last called here

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
	crewMenu
	keysMenu
)

// New returns the screen of an instructor.
func New(s Setup) *Screen {
	if s.Now == nil {
		s.Now = time.Now
	}
	m := &Screen{Setup: s, keys: screen.MustKeymap(keyTable), text: screen.Field{Most: mostText}}
	m.look(s.Now())
	return m
}

// mostText is how many characters a message has at most.
const mostText = 200

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return m.ticks.Next() }

// look takes what has come from the trainee's side.
func (m *Screen) look(now time.Time) {
	answers, news := m.view.Answers, m.view.News
	m.now, m.view = now, m.Link.View()
	if m.view.Answers != answers {
		m.answerAt = now
	}
	if m.view.News != news {
		m.faults = faultsIn(m.view.Events)
	}
	if m.view.Over && m.overlay != keysMenu && m.overlay != crewMenu {
		m.close()
	}
}

// passed is how far what was told so long ago is taken to have gone on since: it is told
// five times a second, and what is late may have stopped.
func (m *Screen) passed(age time.Duration) time.Duration {
	if m.view.Over || m.view.Lost {
		return 0
	}
	return max(0, min(age, 400*time.Millisecond))
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
	case screen.KeyMsg:
		return m, m.key(msg)
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

// Arrived implements screen.Model: a HOLD does not wait for the screen.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	msg := in.Msg(at)
	k, ok := msg.(screen.KeyMsg)
	if !ok {
		return msg
	}
	switch b := m.keys.Find(k.Key); {
	case b == nil:
	case b.Act == actWrite: // what follows may be its text
		m.typing.Store(true)
	case b.Act == actHold && !m.typing.Load():
		m.Link.Hold("")
		k.Done = true
	}
	return k
}
