package tui

import (
	"slices"
	"sync/atomic"
	"time"

	"drylane/playback/evening"
	"drylane/show/check"

	tea "github.com/charmbracelet/bubbletea"
)

// NightSetup is what the list of a night's shows is made from.
type NightSetup struct {
	Shows   []NightShow
	Between check.Findings // what the shows take from each other
	// Open opens a show on a console of its own. It is called outside the
	// screen's loop, and never while another show is open.
	Open func(show int) (NightRun, error)
	// Close ends the run of the show that is open.
	Close  func() error
	Theme  *Theme
	Themes func(name string) *Theme // for the theme key; nil: it does nothing
	ASCII  bool
	Now    func() time.Time
}

// A NightShow is a line of the list.
type NightShow = evening.Line

// A NightRun is a show that has been opened.
type NightRun struct {
	Stage   *Stage
	Show    NightShow      // as it is now
	Between check.Findings // likewise
}

// A Night is the tea model of several shows: a list of them, and in its place
// the console of the one that is open. Quitting a console leads back to the
// list.
type Night struct {
	NightSetup
	ran     []runMark
	mark    int // marked line
	first   int // first line in sight
	open    atomic.Pointer[openShow]
	busy    string // what is being done; keys but quit wait for its end
	trouble string // what went wrong last

	size   tea.WindowSizeMsg
	lay    nightLayout
	canvas canvas

	release, regain func() // give the terminal's key mode back, and take it again
}

// An openShow is the show whose console stands in the list's place.
type openShow struct {
	*Stage
	show int
}

// NewNight returns the list of a night's shows, none of them open.
func NewNight(s NightSetup) *Night {
	if s.Now == nil {
		s.Now = time.Now
	}
	return &Night{NightSetup: s, ran: make([]runMark, len(s.Shows))}
}

// Messages of the list. What a console sends carries the show it is of, so
// that nothing of one that was left reaches the next.
type (
	nightOpened struct {
		show int
		run  NightRun
		err  error
	}
	nightLeft   struct{ of *openShow }
	nightClosed struct{ err error }
	nightTick   struct {
		of   *openShow
		tick tickMsg
	}
)

// Init implements tea.Model.
func (m *Night) Init() tea.Cmd { return nil }

// Update implements tea.Model.
func (m *Night) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	open := m.open.Load()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.size = msg
		m.arrange()
	case nightOpened:
		return m, m.opened(msg)
	case nightLeft:
		return m, m.left(msg.of)
	case nightClosed:
		if m.busy = ""; msg.err != nil {
			m.trouble = msg.err.Error()
		}
		return m, nil
	case nightTick:
		if open == nil || msg.of != open {
			return m, nil
		}
		_, cmd := open.Update(msg.tick)
		m.watch(open)
		return m, open.tag(cmd)
	}
	if open != nil {
		_, cmd := open.Update(msg)
		return m, open.tag(cmd)
	}
	switch msg := msg.(type) {
	case KeyMsg:
		return m, m.key(msg.Key)
	case MouseMsg:
		m.mouse(msg)
	case tea.ResumeMsg:
		if m.regain != nil {
			m.regain()
		}
	}
	return m, nil
}

// tag makes a console's command the list's: its quitting leads back to the
// list, and its ticks end with it.
func (o *openShow) tag(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		switch msg := cmd().(type) {
		case tea.QuitMsg:
			return nightLeft{o}
		case tickMsg:
			return nightTick{o, msg}
		default:
			return msg
		}
	}
}

// opened puts a console in the list's place.
func (m *Night) opened(msg nightOpened) tea.Cmd {
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
	if i := slices.IndexFunc(o.Keys.Bindings, func(b Binding) bool { return b.Act == ActQuit }); i >= 0 {
		o.Keys.Bindings[i].Help = "back to the list of shows; asks while the show is not safe"
	}
	o.keepModes(m.release, m.regain)
	o.Update(m.size)
	m.open.Store(o)
	return o.tag(o.Init())
}

// left puts the list back in the place of a console that was quit.
func (m *Night) left(of *openShow) tea.Cmd {
	if of == nil || m.open.Load() != of {
		return nil
	}
	m.watch(of)
	m.Theme = of.Theme
	m.open.Store(nil)
	if m.ran[of.show].end == ranThrough && of.show+1 < len(m.Shows) {
		m.mark = of.show + 1
	}
	m.busy = "closing the session of " + m.Shows[of.show].Title
	return func() tea.Msg { return nightClosed{m.Close()} }
}

func (m *Night) clock() time.Time { return m.Now() }

func (m *Night) keepModes(release, regain func()) { m.release, m.regain = release, regain }
