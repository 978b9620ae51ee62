package tui

import (
	"time"

	"drylane/playback/instruct"

	tea "github.com/charmbracelet/bubbletea"
)

// An InstructorLink is the way to the run that is instructed; instruct.Client
// is one.
type InstructorLink interface {
	View() instruct.View
	// Ask may wait a moment. The answer comes in the View.
	Ask(instruct.Request) error
}

// InstructorSetup is what an instructor's screen is made from.
type InstructorSetup struct {
	Hello  instruct.Hello
	Link   InstructorLink
	Theme  *Theme
	Themes func(name string) *Theme // for the theme key; nil: it does nothing
	ASCII  bool
	Now    func() time.Time
}

// An Instructor is the tea model of the instructor's screen: what the trainee
// does, and what is to befall the run. It has no run of its own; leaving it
// changes nothing for the trainee.
type Instructor struct {
	InstructorSetup
	keys    *Keymap
	overlay instructorOverlay
	menu    menu
	speaker int    // index into speakers
	text    []rune // of the message that is being written
	want    int    // index into radioWants
	helpTop int

	view     instruct.View
	faults   faults
	now      time.Time
	answerAt time.Time // when the latest answer was first seen
	trouble  string    // why the latest request could not be sent

	width, height int
	lay           instructorLayout
	canvas        canvas
	gen           int // of the ticks

	release, regain func() // give the terminal's key mode back, and take it again
}

type instructorOverlay uint8

const (
	noMenu instructorOverlay = iota
	radioMenu
	writeMenu
	faultMenu
	endMenu  // asks once
	sureMenu // asks twice
	keysMenu
)

// NewInstructor returns the screen of an instructor.
func NewInstructor(s InstructorSetup) *Instructor {
	if s.Now == nil {
		s.Now = time.Now
	}
	m := &Instructor{InstructorSetup: s, keys: newInstructorKeymap()}
	m.look(s.Now())
	return m
}

// An instructorTick is a look at the link; gen tells old ticks from new.
type instructorTick struct{ gen int }

// An askedMsg says that a request was sent, or why not.
type askedMsg struct{ err error }

func (m *Instructor) tick() tea.Cmd {
	gen := m.gen
	return tea.Tick(frameEvery, func(time.Time) tea.Msg { return instructorTick{gen} })
}

// Init implements tea.Model.
func (m *Instructor) Init() tea.Cmd { return m.tick() }

// look takes what has come from the trainee's side.
func (m *Instructor) look(now time.Time) {
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
func (m *Instructor) stale() time.Duration {
	if m.view.At.IsZero() {
		return 0
	}
	return max(0, m.now.Sub(m.view.At))
}

// passed is how far the run is taken to have gone on since the state that is
// shown: states come five times a second, and what is late may have stopped.
func (m *Instructor) passed() time.Duration {
	if m.view.Ended != "" {
		return 0
	}
	return min(m.stale(), 400*time.Millisecond)
}

// Update implements tea.Model.
func (m *Instructor) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.lay = arrangeInstructor(m.width, m.height)
	case instructorTick:
		if msg.gen != m.gen {
			return m, nil
		}
		m.look(m.Now())
		return m, m.tick()
	case askedMsg:
		if msg.err != nil {
			m.trouble = msg.err.Error()
		}
	case KeyMsg:
		return m, m.key(msg.Key)
	case tea.KeyMsg:
		return m, m.teaKey(msg)
	case MouseMsg:
		m.menu.move(msg.Wheel)
	case tea.ResumeMsg:
		if m.regain != nil {
			m.regain()
		}
		m.gen++
		return m, m.tick()
	}
	return m, nil
}

// View implements tea.Model.
func (m *Instructor) View() string {
	m.draw()
	return m.canvas.render(m.Theme)
}

func (m *Instructor) clock() time.Time { return m.Now() }

func (m *Instructor) keepModes(release, regain func()) { m.release, m.regain = release, regain }

// arrived is the screen interface's: nothing here cannot wait for the screen.
func (m *Instructor) arrived(in input, at time.Time) tea.Msg {
	switch {
	case in.mouse != nil:
		return *in.mouse
	case in.paste != "":
		return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(in.paste), Paste: true}
	}
	return KeyMsg{Key: in.key, At: at}
}
