// Package crew is the screen of somebody who takes part in a rehearsal from a machine
// of their own: what their role sees, and the keys for what it may do.
package crew

import (
	"slices"
	"time"

	link "drylane/playback/crew"
	"drylane/playback/earpiece"
	"drylane/show"
	"drylane/show/crew"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A Link is the way to the rehearsal; link.Member is one. All of it returns at once.
type Link interface {
	View() link.View
	Hold(reason string)
	Do(what crew.Deed, d link.Deed)
}

// Setup is what a member's screen is made from.
type Setup struct {
	Link Link
	Role crew.Role
	// Sound is how what is heard at this machine stands; nil, or nil from it, where
	// nothing is. It returns at once.
	Sound func() *earpiece.Status
	screen.Look
	Now func() time.Time
}

// A Screen is the tea model of a member's screen.
type Screen struct {
	Setup
	keys    *screen.Keymap
	overlay overlay
	helpTop int

	view     link.View
	now      time.Time
	answers  int                  // that have been shown
	answerAt time.Time            // when the latest was first seen
	was      show.State           // when the screen last looked
	calledAt time.Time            // when HOLD was last called here
	cursor   string               // the cue that "seen" and "did not go" are about; empty: the latest
	told     map[string]crew.Deed // what was said of cues, by their id
	taps     int

	lay    layout
	canvas screen.Canvas
	ticks  screen.Ticker
}

type overlay uint8

const (
	noMenu overlay = iota
	refuseMenu
	keysMenu
)

// reasons are why safety refuses a resume, by the digit that says so.
var reasons = []string{"somebody is in the fallout area", "not clear above", "what led to the hold is not over", "ask me by radio"}

// New returns a member's screen.
func New(s Setup) *Screen {
	if s.Now == nil {
		s.Now = time.Now
	}
	m := &Screen{Setup: s, keys: screen.MustKeymap(keysOf(s.Role.Kind)), told: map[string]crew.Deed{}}
	m.look(s.Now())
	return m
}

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return m.ticks.Next() }

// look takes what is known now.
func (m *Screen) look(now time.Time) {
	m.now, m.view = now, m.Link.View()
	if is := m.state(); is != m.was { // what came of a HOLD was about the state before
		if a := m.view.Answer; a.Deed == crew.Hold && a.Refused == "" && is != show.Held {
			m.answerAt = time.Time{}
		}
		m.was = is
	}
	if m.view.Answers != m.answers {
		m.answers, m.answerAt = m.view.Answers, now
		if a := m.view.Answer; a.Refused != "" && (a.Deed == crew.Seen || a.Deed == crew.Missing) {
			delete(m.told, m.cueInHand())
		}
	}
}

// Update implements tea.Model.
func (m *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.canvas.Resize(msg)
	case screen.TickMsg:
		if !m.ticks.Owns(msg) {
			return m, nil
		}
		m.look(m.Now())
		return m, m.ticks.Next()
	case screen.KeyMsg:
		return m, m.key(msg)
	case tea.ResumeMsg:
		return m, m.ticks.Restart()
	}
	return m, nil
}

// Arrived implements screen.Model: a HOLD and a tap do not wait for the screen.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	msg := in.Msg(at)
	k, ok := msg.(screen.KeyMsg)
	if !ok {
		return msg
	}
	switch b := m.keys.Find(k.Key); {
	case b == nil || !b.Now:
		return msg
	case b.Act == actHold:
		m.Link.Hold("")
	case b.Act == actTap:
		m.Link.Do(crew.Tap, link.Deed{})
	}
	k.Done = true
	return k
}

// running reports whether the run goes on, as far as it is known here.
func (m *Screen) running() bool { return m.view.Running() }

// awaited reports whether the run is held and the shooter waits for this member's answer.
func (m *Screen) awaited() bool {
	return m.view.State.Hold > 0 && !m.view.Lost && m.isAmong(m.view.State.Waits)
}

// cueInHand is the cue that the keys for cues are about: the chosen one, else the
// latest that was lit.
func (m *Screen) cueInHand() string {
	list := m.view.Cues.List
	if slices.ContainsFunc(list, func(c link.Cue) bool { return c.ID == m.cursor }) {
		return m.cursor
	}
	id := ""
	for _, c := range list {
		if c.Fired && !c.Down {
			id = c.ID
		}
	}
	return id
}

// choose moves the cursor along the cues that were lit.
func (m *Screen) choose(by int) {
	var list []link.Cue
	for _, c := range m.view.Cues.List {
		if c.Fired && !c.Down {
			list = append(list, c)
		}
	}
	if len(list) == 0 {
		return
	}
	i := slices.IndexFunc(list, func(c link.Cue) bool { return c.ID == m.cueInHand() })
	m.cursor = list[max(0, min(len(list)-1, i+by))].ID
}
