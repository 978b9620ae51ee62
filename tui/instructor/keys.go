package instructor

import (
	"slices"

	link "drylane/playback/crew"
	"drylane/show"
	roles "drylane/show/crew"
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
	actHold   screen.Act = "hold"
	actCrew   screen.Act = "crew"
)

// keyTable is the one table of the instructor's keys.
var keyTable = []screen.Binding{
	{Act: actHold, Keys: []string{"space"}, Label: "HOLD", Help: "call HOLD: anybody may, at any time", Head: "What happens to the run", Now: true},
	{Act: actRadio, Keys: []string{"r"}, Label: "RADIO", Help: "choose what is said on the radio"},
	{Act: actWrite, Keys: []string{"t"}, Label: "write", Help: "write what is said on the radio"},
	{Act: actFaults, Keys: []string{"f"}, Label: "FAULTS", Help: "music, positions, sound device: fail or work again"},
	{Act: actEnd, Keys: []string{"x"}, Label: "end drill", Help: "end the drill; asks"},
	{Act: actCrew, Keys: []string{"c"}, Label: "crew", Help: "who takes part: link, clock, ready", Head: "Everything else"},
	{Act: screen.ActTheme, Keys: []string{"m"}, Label: "theme", Help: "theme: dark, light, night, mono"},
	{Act: screen.ActHelp, Keys: []string{"?"}, Label: "help", Help: "this list"},
	{Act: screen.ActQuit, Keys: []string{"q", "ctrl+c"}, Label: "quit", Help: "leave; the run goes on without an instructor"},
}

// key does what a key asks for.
func (m *Screen) key(k screen.KeyMsg) tea.Cmd {
	b := m.keys.Find(k.Key)
	switch {
	case k.Key == "ctrl+z":
		return tea.Suspend
	case k.Key == "ctrl+c":
		return tea.Quit
	case b != nil && b.Act == actHold && (k.Done || m.overlay != writeMenu):
		if !k.Done { // it was taken for a part of a message
			m.Link.Hold("")
		}
		m.close()
		m.calledAt = m.now
		return nil
	case m.overlay != noMenu:
		m.menuKey(k.Key)
		return nil
	case b == nil:
		return nil
	}
	switch b.Act {
	case screen.ActTheme:
		m.NextTheme()
	case screen.ActHelp:
		m.open(keysMenu)
	case screen.ActQuit:
		return tea.Quit
	case actCrew:
		m.open(crewMenu)
	default:
		if !m.view.Over {
			m.open(menuOf[b.Act])
		}
	}
	return nil
}

var menuOf = map[screen.Act]overlay{actRadio: radioMenu, actWrite: writeMenu, actFaults: faultMenu, actEnd: endMenu}

// open puts a menu on the screen.
func (m *Screen) open(o overlay) {
	m.overlay, m.helpTop = o, 0
	m.typing.Store(o == writeMenu)
	switch o {
	case radioMenu:
		m.menu = screen.List{Rows: len(readyMessages)}
	case faultMenu:
		m.menu = screen.List{Rows: len(drill.MenuDeeds())}
	}
}

func (m *Screen) close() {
	m.overlay, m.menu = noMenu, screen.List{}
	m.typing.Store(false)
}

// menuKey does what a key asks for while a menu is open.
func (m *Screen) menuKey(key string) {
	if m.typing.Load() && m.overlay != writeMenu { // its key opens nothing here
		m.typing.Store(false)
	}
	switch m.overlay {
	case keysMenu:
		if !screen.Scrolls(&m.helpTop, key) {
			m.close()
		}
	case crewMenu:
		m.close()
	case endMenu:
		m.endKey(key)
	case writeMenu:
		m.writeKey(key)
	default:
		m.listKey(key)
	}
}

// listKey does what a key asks for while there is a list to choose from.
func (m *Screen) listKey(key string) {
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
			m.ask(roles.Radio, readyMessages[m.menu.Mark].deed(m.position()))
		} else {
			m.ask(roles.Fault, faultDeed(drill.MenuDeeds()[m.menu.Mark], m.position()))
		}
	}
}

// endKey takes the answer to the question before the drill ends. It wants another key
// than the one that asks, so that no key held down runs through both.
func (m *Screen) endKey(key string) {
	switch key {
	case "y":
		m.ask(roles.Fault, link.Deed{Do: string(drill.Over)})
	case m.keys.Of(actEnd)[0]: // held down
	default:
		m.close()
	}
}

// ask asks for something and closes the menu. The answer comes in the view.
func (m *Screen) ask(what roles.Deed, d link.Deed) {
	m.close()
	m.Link.Do(what, d)
}

// speakers are who can speak on the radio.
func (m *Screen) speakers() []string {
	return append(slices.Clip(m.positions()), "field", "spotter")
}

func (m *Screen) positions() []string { return m.view.Planned.Positions }

// turn chooses the next who speaks, or where something fails.
func (m *Screen) turn(by int) {
	n := len(m.speakers())
	if m.overlay != writeMenu {
		n = max(1, len(m.positions()))
	}
	m.speaker = (m.speaker + by + n) % n
}

// position is the chosen position; empty when the show has none.
func (m *Screen) position() string {
	if n := len(m.positions()); n > 0 {
		return m.positions()[m.speaker%n]
	}
	return ""
}

// group makes d one of a position's, if there is one.
func group(d link.Deed, position string) link.Deed {
	if position != "" {
		d.By, d.Of = show.LanesByPosition, position
	}
	return d
}
