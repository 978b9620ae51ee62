// Package night is the list of a night's shows, from which each is opened on a
// console of its own.
package night

import (
	"sync/atomic"
	"time"

	"drylane/playback/evening"
	"drylane/show/check"
	"drylane/tui/console"
	"drylane/tui/screen"
	"drylane/tui/stage"

	tea "github.com/charmbracelet/bubbletea"
)

// Setup is what the list of a night's shows is made from.
type Setup struct {
	Shows   []evening.Line
	Between check.Findings // what the shows take from each other
	// Open opens a show on a console of its own. It is called outside the
	// screen's loop, and never while another show is open.
	Open func(show int) (Run, error)
	// Close ends the run of the show that is open.
	Close func() error
	screen.Look
	Now func() time.Time
}

// A Run is a show that has been opened.
type Run struct {
	Stage   *stage.Screen
	Spoken  *console.Spoken // in its place where the night is told as lines
	Show    evening.Line    // as it is now
	Between check.Findings  // likewise
}

// A Screen is the tea model of several shows: a list of them, and in its place
// the console of the one that is open. Quitting a console leads back to the
// list.
type Screen struct {
	Setup
	ran     []runMark
	list    screen.List
	open    atomic.Pointer[openShow]
	busy    string // what is being done; keys but quit wait for its end
	trouble string // what went wrong last
	looking bool   // a lookMsg is on its way

	size   tea.WindowSizeMsg
	lay    layout
	canvas screen.Canvas
}

// An openShow is the show whose console stands in the list's place.
type openShow struct {
	*stage.Screen
	show int
}

// New returns the list of a night's shows, none of them open.
func New(s Setup) *Screen {
	if s.Now == nil {
		s.Now = time.Now
	}
	return &Screen{Setup: s, ran: make([]runMark, len(s.Shows)), list: screen.List{Rows: len(s.Shows)}}
}

// Messages of the list. A console that was quit is named, so that a second press
// of the key does not reach the next one.
type (
	openedMsg struct {
		show int
		run  Run
		err  error
	}
	leftMsg   struct{ of *openShow }
	closedMsg struct{ err error }
)

// Init implements tea.Model.
func (m *Screen) Init() tea.Cmd { return m.lookAgain() }

// Update implements tea.Model.
func (m *Screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	open := m.open.Load()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.size = msg
		m.canvas.Resize(msg)
		m.arrange()
	case openedMsg:
		return m, m.opened(msg)
	case leftMsg:
		return m, m.left(msg.of)
	case closedMsg:
		if m.busy = ""; msg.err != nil {
			m.trouble = msg.err.Error()
		}
		return m, m.lookAgain()
	case lookMsg:
		m.looking = false
		return m, m.lookAgain()
	}
	if open != nil {
		_, cmd := open.Update(msg)
		m.watch(open.Screen.Screen, open.show)
		return m, open.tag(cmd)
	}
	switch msg := msg.(type) {
	case screen.KeyMsg:
		return m, m.key(msg.Key)
	case screen.MouseMsg:
		m.mouse(msg)
	}
	return m, nil
}

// tag turns a console's quitting into the way back to the list.
func (o *openShow) tag(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		msg := cmd()
		switch msg := msg.(type) {
		case tea.QuitMsg:
			return leftMsg{o}
		case tea.BatchMsg:
			for i := range msg {
				msg[i] = o.tag(msg[i])
			}
		}
		return msg
	}
}

// backToList is what quitting a console does here.
const backToList = "back to the list of shows; asks while it is not safe or somebody is in the field"

// opened puts a console in the list's place.
func (m *Screen) opened(msg openedMsg) tea.Cmd {
	m.busy = ""
	s := &m.Shows[msg.show]
	if msg.err != nil {
		s.Problem = msg.err.Error()
		m.trouble = s.Title + " cannot be opened"
		return nil
	}
	*s, m.Between = msg.run.Show, msg.run.Between
	o := &openShow{msg.run.Stage, msg.show}
	o.Theme = m.Theme
	o.Keys.Describe(screen.ActQuit, backToList)
	o.Update(m.size)
	m.open.Store(o)
	return o.tag(o.Init())
}

// left puts the list back in the place of a console that was quit.
func (m *Screen) left(of *openShow) tea.Cmd {
	if of == nil || m.open.Load() != of {
		return nil
	}
	m.watch(of.Screen.Screen, of.show)
	m.Theme = of.Theme
	m.open.Store(nil)
	m.markNext(of.show)
	m.busy = "closing the session of " + m.Shows[of.show].Title
	return func() tea.Msg { return closedMsg{m.Close()} }
}

// markNext marks the show after one that ran through.
func (m *Screen) markNext(show int) {
	if m.ran[show].end == ranThrough && show+1 < len(m.Shows) {
		m.list.Mark = show + 1
	}
}
