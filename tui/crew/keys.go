package crew

import (
	"slices"

	link "drylane/playback/crew"
	"drylane/show"
	"drylane/show/crew"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// The acts of a member's screen.
const (
	actHold        screen.Act = "hold"
	actAcknowledge screen.Act = "acknowledge"
	actReady       screen.Act = "ready"
	actStandDown   screen.Act = "stand-down"
	actSeen        screen.Act = "seen"
	actMissing     screen.Act = "missing"
	actUp          screen.Act = "cue-back"
	actDown        screen.Act = "cue-on"
	actTap         screen.Act = "tap"
	actRefuse      screen.Act = "refuse"
)

// keyTable is the one table of a member's keys. Those for deeds that a role may not
// do are left out of its own.
var keyTable = []struct {
	screen.Binding
	deed crew.Deed // empty: for everybody
}{
	{screen.Binding{Act: actHold, Keys: []string{"space"}, Label: "HOLD", Help: "call HOLD: anybody may, at any time", Head: "The run", Now: true}, crew.Hold},
	{screen.Binding{Act: actAcknowledge, Keys: []string{"enter"}, Label: "acknowledge", Help: "acknowledge the hold"}, crew.Acknowledge},
	{screen.Binding{Act: actRefuse, Keys: []string{"o"}, Label: "refuse resume", Help: "refuse a resume, or take that back"}, crew.Object},
	{screen.Binding{Act: actReady, Keys: []string{"r"}, Label: "ready", Help: "your part is ready, or is not after all"}, crew.Ready},
	{screen.Binding{Act: actStandDown, Keys: []string{"d"}, Label: "ask stand down", Help: "ask the shooter to stand your position down, or take that back"}, crew.StandDown},
	{screen.Binding{Act: actSeen, Keys: []string{"y"}, Label: "seen", Help: "the marked cue went off", Head: "Cues"}, crew.Seen},
	{screen.Binding{Act: actMissing, Keys: []string{"x"}, Label: "did not go", Help: "the marked cue did not go"}, crew.Missing},
	{screen.Binding{Act: actUp, Keys: []string{"up"}, Label: "mark", Help: "mark the cue before"}, crew.Seen},
	{screen.Binding{Act: actDown, Keys: []string{"down"}, Label: "mark", Help: "mark the next cue"}, crew.Seen},
	{screen.Binding{Act: actTap, Keys: []string{"j", "f"}, Label: "tap", Help: "tap on an accent as you hear it", Now: true}, crew.Tap},
	{screen.Binding{Act: screen.ActTheme, Keys: []string{"m"}, Label: "theme", Help: "theme: dark, light, night, mono", Head: "Everything else"}, ""},
	{screen.Binding{Act: screen.ActHelp, Keys: []string{"?"}, Label: "help", Help: "this list"}, ""},
	{screen.Binding{Act: screen.ActQuit, Keys: []string{"q", "ctrl+c"}, Label: "leave", Help: "leave the crew; the run goes on"}, ""},
}

// keysOf are the keys of a role.
func keysOf(k crew.Kind) (list []screen.Binding) {
	for _, b := range keyTable {
		if b.deed == "" || k.May(b.deed) {
			list = append(list, b.Binding)
		}
	}
	return list
}

// key does what a key asks for.
func (m *Screen) key(k screen.KeyMsg) tea.Cmd {
	b := m.keys.Find(k.Key)
	switch {
	case k.Key == "ctrl+z":
		return tea.Suspend
	case k.Key == "ctrl+c":
		return tea.Quit
	case b != nil && b.Act == actHold:
		m.overlay, m.calledAt = noMenu, m.now // it was called when the key came
		return nil
	case m.overlay == keysMenu:
		if !screen.Scrolls(&m.helpTop, k.Key) {
			m.overlay = noMenu
		}
		return nil
	case m.overlay == refuseMenu:
		m.refuse(k.Key)
		return nil
	case b == nil:
		return nil
	}
	return m.act(b.Act)
}

func (m *Screen) act(a screen.Act) tea.Cmd {
	switch a {
	case actAcknowledge:
		if m.view.State.Hold > 0 {
			m.Link.Do(crew.Acknowledge, link.Deed{Hold: m.view.State.Hold})
		}
	case actReady:
		if m.ready() {
			m.Link.Do(crew.Unready, link.Deed{})
		} else {
			m.Link.Do(crew.Ready, link.Deed{})
		}
	case actStandDown:
		if m.asks() {
			m.Link.Do(crew.Withdraw, link.Deed{})
		} else {
			m.Link.Do(crew.StandDown, link.Deed{})
		}
	case actSeen:
		m.tell(crew.Seen)
	case actMissing:
		m.tell(crew.Missing)
	case actUp:
		m.choose(-1)
	case actDown:
		m.choose(+1)
	case actTap:
		if m.running() { // else the lead does not take it
			m.taps++
		}
	case actRefuse:
		if m.objects() != "" {
			m.Link.Do(crew.Allow, link.Deed{})
		} else {
			m.overlay = refuseMenu
		}
	case screen.ActTheme:
		m.NextTheme()
	case screen.ActHelp:
		m.overlay, m.helpTop = keysMenu, 0
	case screen.ActQuit:
		return tea.Quit
	}
	return nil
}

// refuse takes the digit of a reason.
func (m *Screen) refuse(key string) {
	m.overlay = noMenu
	if len(key) == 1 && key[0] >= '1' && int(key[0]-'1') < len(reasons) {
		m.Link.Do(crew.Object, link.Deed{Text: reasons[key[0]-'1']})
	}
}

// tell says of the cue in hand whether it went.
func (m *Screen) tell(what crew.Deed) {
	if id := m.cueInHand(); id != "" {
		m.told[id] = what
		m.Link.Do(what, link.Deed{Cue: id})
		m.cursor = "" // the next one that is lit
	}
}

// mine is this member's own line; the zero Line where the role does not see the crew.
func (m *Screen) mine() link.Line {
	for _, l := range m.view.Crew {
		if l.Name == m.view.Welcome.Name {
			return l
		}
	}
	return link.Line{}
}

func (m *Screen) ready() bool     { return m.mine().Ready || m.view.Cues.Ready }
func (m *Screen) objects() string { return m.mine().Objects }

// isAmong reports whether this member is among those names.
func (m *Screen) isAmong(names []string) bool { return slices.Contains(names, m.view.Welcome.Name) }

// asks reports whether this member asks to have their position stood down.
func (m *Screen) asks() bool { return m.isAmong(m.view.State.Asks) }

// struck reports whether the shooter has struck this member off.
func (m *Screen) struck() bool { return !m.view.Lost && m.isAmong(m.view.State.Struck) }

// wasCut reports whether the run was cut, so that no cue comes any more by itself.
func (m *Screen) wasCut() bool { return m.view.WasCut() }

// state is the run's; where nothing is heard of the lead it is held.
func (m *Screen) state() show.State {
	if m.view.Lost {
		return show.Held
	}
	for s := show.Safe; s <= show.Ended; s++ {
		if s.String() == m.view.State.State {
			return s
		}
	}
	return show.Safe
}
