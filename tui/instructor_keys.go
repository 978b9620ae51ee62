package tui

import (
	"drylane/playback/instruct"
	"drylane/show"
	"drylane/show/drill"

	tea "github.com/charmbracelet/bubbletea"
)

// The acts of the instructor's screen that the console does not have.
const (
	InstructRadio  Act = "radio"
	InstructWrite  Act = "write"
	InstructFaults Act = "faults"
	InstructEnd    Act = "end-drill"
)

// InstructorKeys is the one table of the instructor's keys.
var InstructorKeys = []Binding{
	{Act: InstructRadio, Keys: []string{"r"}, Label: "RADIO", Help: "choose what is said on the radio", Head: "What befalls the run"},
	{Act: InstructWrite, Keys: []string{"t"}, Label: "write", Help: "write what is said on the radio"},
	{Act: InstructFaults, Keys: []string{"f"}, Label: "FAULTS", Help: "music, positions, sound device: fail or work again"},
	{Act: InstructEnd, Keys: []string{"x"}, Label: "end the drill", Help: "end the drill; asks twice"},
	{Act: ActTheme, Keys: []string{"m"}, Label: "theme", Help: "theme: dark, light, night, mono", Head: "Everything else"},
	{Act: ActHelp, Keys: []string{"?"}, Label: "help", Help: "this list"},
	{Act: ActQuit, Keys: []string{"q", "ctrl+c"}, Label: "quit", Help: "leave; the run goes on without an instructor"},
}

// newInstructorKeymap returns the keymap of the instructor's screen. No key
// stands twice in its table; a test holds that.
func newInstructorKeymap() *Keymap {
	k := &Keymap{Bindings: InstructorKeys, byKey: map[string]int{}}
	for i, b := range k.Bindings {
		for _, key := range b.Keys {
			k.byKey[key] = i
		}
	}
	return k
}

// key does what a key asks for.
func (m *Instructor) key(key string) tea.Cmd {
	switch {
	case key == "ctrl+z":
		if m.release != nil {
			m.release()
		}
		return tea.Suspend
	case key == "ctrl+c":
		return tea.Quit
	case m.overlay != noMenu:
		return m.menuKey(key)
	}
	b := m.keys.Find(key)
	if b == nil {
		return nil
	}
	switch b.Act {
	case ActTheme:
		m.Theme = nextTheme(m.Theme, m.Themes)
	case ActHelp:
		m.open(keysMenu)
	case ActQuit:
		return tea.Quit
	default:
		if m.view.Ended == "" {
			m.open(menuOf[b.Act])
		}
	}
	return nil
}

var menuOf = map[Act]instructorOverlay{InstructRadio: radioMenu, InstructWrite: writeMenu, InstructFaults: faultMenu, InstructEnd: endMenu}

// open puts a menu on the screen.
func (m *Instructor) open(o instructorOverlay) {
	m.overlay, m.helpTop = o, 0
	switch o {
	case radioMenu:
		m.menu = menu{rows: len(readyMessages)}
	case faultMenu:
		m.menu = menu{rows: len(drill.MenuDeeds())}
	}
}

func (m *Instructor) close() { m.overlay, m.menu = noMenu, menu{} }

// menuKey does what a key asks for while a menu is open.
func (m *Instructor) menuKey(key string) tea.Cmd {
	switch m.overlay {
	case keysMenu:
		m.helpKey(key)
		return nil
	case endMenu, sureMenu:
		return m.endKey(key)
	case writeMenu:
		return m.writeKey(key)
	}
	switch key {
	case "up", "pgup":
		m.menu.move(-1)
	case "down", "pgdown":
		m.menu.move(+1)
	case "left":
		m.turn(-1)
	case "right":
		m.turn(+1)
	case "esc", "q":
		m.close()
	case "enter":
		if m.overlay == radioMenu {
			return m.ask(readyMessages[m.menu.mark].request(m.position()))
		}
		return m.ask(faultRequest(drill.MenuDeeds()[m.menu.mark], m.position()))
	}
	return nil
}

func (m *Instructor) helpKey(key string) {
	if !scrolls(&m.helpTop, key) {
		m.close()
	}
}

// endKey takes the answers to the two questions before the drill ends: they
// want different keys, so that no key held down runs through both.
func (m *Instructor) endKey(key string) tea.Cmd {
	switch {
	case m.overlay == endMenu && key == "y":
		m.overlay = sureMenu
	case m.overlay == sureMenu && key == "e":
		return m.ask(instruct.Request{Do: drill.Over})
	case key != "y":
		m.close()
	}
	return nil
}

// ask sends a request and closes the menu.
func (m *Instructor) ask(r instruct.Request) tea.Cmd {
	m.close()
	m.trouble = ""
	return func() tea.Msg { return askedMsg{m.Link.Ask(r)} }
}

// speakers are who can speak on the radio.
func (m *Instructor) speakers() []string {
	return append(m.Hello.Positions[:len(m.Hello.Positions):len(m.Hello.Positions)], "field", "spotter")
}

// turn chooses the next who speaks, or where something fails.
func (m *Instructor) turn(by int) {
	n := len(m.speakers())
	if m.overlay != writeMenu {
		n = max(1, len(m.Hello.Positions))
	}
	m.speaker = (m.speaker + by + n) % n
}

// position is the chosen position; empty when the show has none.
func (m *Instructor) position() string {
	if n := len(m.Hello.Positions); n > 0 {
		return m.Hello.Positions[m.speaker%n]
	}
	return ""
}

// group makes r one of a position's, if there is one.
func group(r instruct.Request, position string) instruct.Request {
	if position != "" {
		r.By, r.Name = show.LanesByPosition, position
	}
	return r
}
