package instructor

import (
	"drylane/playback/instruct"
	"drylane/show"
	"drylane/show/drill"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// The acts of the instructor's screen that the console does not have.
const (
	actRadio  screen.Act = "radio"
	actWrite  screen.Act = "write"
	actFaults screen.Act = "faults"
	actEnd    screen.Act = "end-drill"
)

// keyTable is the one table of the instructor's keys.
var keyTable = []screen.Binding{
	{Act: actRadio, Keys: []string{"r"}, Label: "RADIO", Help: "choose what is said on the radio", Head: "What happens to the run"},
	{Act: actWrite, Keys: []string{"t"}, Label: "write", Help: "write what is said on the radio"},
	{Act: actFaults, Keys: []string{"f"}, Label: "FAULTS", Help: "music, positions, sound device: fail or work again"},
	{Act: actEnd, Keys: []string{"x"}, Label: "end the drill", Help: "end the drill; asks"},
	{Act: screen.ActTheme, Keys: []string{"m"}, Label: "theme", Help: "theme: dark, light, night, mono", Head: "Everything else"},
	{Act: screen.ActHelp, Keys: []string{"?"}, Label: "help", Help: "this list"},
	{Act: screen.ActQuit, Keys: []string{"q", "ctrl+c"}, Label: "quit", Help: "leave; the run goes on without an instructor"},
}

// key does what a key asks for.
func (m *Screen) key(key string) tea.Cmd {
	switch {
	case key == "ctrl+z":
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
	case screen.ActTheme:
		m.NextTheme()
	case screen.ActHelp:
		m.open(keysMenu)
	case screen.ActQuit:
		return tea.Quit
	default:
		if m.view.Ended == "" {
			m.open(menuOf[b.Act])
		}
	}
	return nil
}

var menuOf = map[screen.Act]overlay{actRadio: radioMenu, actWrite: writeMenu, actFaults: faultMenu, actEnd: endMenu}

// open puts a menu on the screen.
func (m *Screen) open(o overlay) {
	m.overlay, m.helpTop = o, 0
	switch o {
	case radioMenu:
		m.menu = screen.List{Rows: len(readyMessages)}
	case faultMenu:
		m.menu = screen.List{Rows: len(drill.MenuDeeds())}
	}
}

func (m *Screen) close() { m.overlay, m.menu = noMenu, screen.List{} }

// menuKey does what a key asks for while a menu is open.
func (m *Screen) menuKey(key string) tea.Cmd {
	switch m.overlay {
	case keysMenu:
		m.helpKey(key)
		return nil
	case endMenu:
		return m.endKey(key)
	case writeMenu:
		return m.writeKey(key)
	}
	switch key {
	case "up", "pgup":
		m.menu.Move(-1)
	case "down", "pgdown":
		m.menu.Move(+1)
	case "left":
		m.turn(-1)
	case "right":
		m.turn(+1)
	case "esc", "q":
		m.close()
	case "enter":
		if m.overlay == radioMenu {
			return m.ask(readyMessages[m.menu.Mark].request(m.position()))
		}
		return m.ask(faultRequest(drill.MenuDeeds()[m.menu.Mark], m.position()))
	}
	return nil
}

func (m *Screen) helpKey(key string) {
	if !screen.Scrolls(&m.helpTop, key) {
		m.close()
	}
}

// endKey takes the answer to the question before the drill ends. It wants another key
// than the one that asks, so that no key held down runs through both.
func (m *Screen) endKey(key string) tea.Cmd {
	switch key {
	case "y":
		return m.ask(instruct.Request{Do: drill.Over})
	case m.keys.Of(actEnd)[0]: // held down
	default:
		m.close()
	}
	return nil
}

// ask sends a request and closes the menu.
func (m *Screen) ask(r instruct.Request) tea.Cmd {
	m.close()
	m.trouble = ""
	return func() tea.Msg { return askedMsg{m.Link.Ask(r)} }
}

// speakers are who can speak on the radio.
func (m *Screen) speakers() []string {
	return append(m.Hello.Positions[:len(m.Hello.Positions):len(m.Hello.Positions)], "field", "spotter")
}

// turn chooses the next who speaks, or where something fails.
func (m *Screen) turn(by int) {
	n := len(m.speakers())
	if m.overlay != writeMenu {
		n = max(1, len(m.Hello.Positions))
	}
	m.speaker = (m.speaker + by + n) % n
}

// position is the chosen position; empty when the show has none.
func (m *Screen) position() string {
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
