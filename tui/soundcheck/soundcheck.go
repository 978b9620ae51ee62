// Package soundcheck is the screen on which the sound system is checked, source
// by source, with no show running.
package soundcheck

import (
	"sync"
	"time"

	"drylane/playback/desk"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A Desk is what the sound check shows and commands; desk.Desk is one.
type Desk interface {
	Snapshot() *desk.Snapshot
	Do(desk.Command)
	Quit()
}

// Setup is what a sound check is made from.
type Setup struct {
	Title   string // of the show, safe to print
	Desk    Desk
	Sources []desk.Source // those of the desk
	screen.Look
	Quiet bool     // there is no sound device
	Warn  []string // what is worth saying about the show, safe to print
	Now   func() time.Time
	// Leave is what quitting does after the sound is off; nil quits the program.
	Leave tea.Cmd
}

// A Screen is the tea model of a sound check. It starts nothing but the sound it
// is asked for: it has no transport and no cues.
type Screen struct {
	Setup
	keys    *screen.Keymap
	list    screen.List // of the sources
	help    bool
	helpTop int

	mu      sync.Mutex // of what is asked of the desk and hangs on stopped
	stopped time.Time  // when the latest stop was asked for

	snap   *desk.Snapshot
	now    time.Time
	lay    layout
	canvas screen.Canvas
	ticks  screen.Ticker
}

// New returns the screen of a sound check.
func New(s Setup) *Screen {
	if s.Now == nil {
		s.Now = time.Now
	}
	if s.Leave == nil {
		s.Leave = tea.Quit
	}
	m := &Screen{Setup: s, keys: screen.MustKeymap(keyTable), list: screen.List{Rows: len(s.Sources)}}
	m.look(s.Now())
	return m
}

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return m.ticks.Next() }

func (m *Screen) look(now time.Time) { m.now, m.snap = now, m.Desk.Snapshot() }

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
		if m.look(m.Now()); m.snap.Done {
			return m, m.Leave
		}
		return m, m.ticks.Next()
	case screen.KeyMsg:
		return m, m.key(msg)
	case screen.MouseMsg:
		m.mouse(msg)
	}
	return m, nil
}

// Arrived does what cannot wait: the stop key and the gains act although the
// screen may be stuck. It runs in the keys' goroutine.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	b := m.keys.Find(in.Key)
	if b == nil || !b.Now {
		return in.Msg(at)
	}
	c, ok := commandOf(b.Act)
	if ok {
		m.mu.Lock()
		if c.Action == desk.Stop {
			m.stopped = at
		}
		m.Desk.Do(c)
		m.mu.Unlock()
	}
	return screen.KeyMsg{Key: in.Key, At: at, Done: ok}
}

// key does what a key asks for.
func (m *Screen) key(k screen.KeyMsg) tea.Cmd {
	b := m.keys.Find(k.Key)
	if b != nil && b.Now {
		if c, ok := commandOf(b.Act); ok && !k.Done {
			m.Desk.Do(c)
		}
		return nil
	}
	if m.help {
		m.helpKey(k.Key)
		return nil
	}
	if b == nil {
		return nil
	}
	return m.act(b.Act, k.At)
}

// play asks for the marked line, unless a stop was asked for after it, which has
// been done by then.
func (m *Screen) play(a desk.Action, at time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if !at.Before(m.stopped) {
		m.Desk.Do(desk.Command{Action: a, Source: m.list.Mark})
	}
}

// act does what depends on the screen.
func (m *Screen) act(a screen.Act, at time.Time) tea.Cmd {
	switch a {
	case actPlay:
		m.play(desk.Play, at)
	case actTop:
		m.play(desk.Top, at)
	case actUp, actPrev:
		m.list.Move(-1)
	case actDown, actNext:
		m.list.Move(+1)
	case screen.ActTheme:
		m.NextTheme()
	case screen.ActHelp:
		m.help, m.helpTop = true, 0
	case screen.ActQuit:
		m.Desk.Quit()
		return m.Leave
	}
	if a == actPrev || a == actNext {
		m.play(desk.Top, at)
	}
	return nil
}

func (m *Screen) helpKey(key string) {
	if !screen.Scrolls(&m.helpTop, key) {
		m.help = false
	}
}

// mouse marks the line that was pressed, or the next one.
func (m *Screen) mouse(e screen.MouseMsg) {
	if m.help || !m.canvas.Fits() {
		return
	}
	m.list.Mouse(e, m.lay.rows)
}
