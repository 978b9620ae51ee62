package tui

import (
	"time"
	"unicode/utf8"

	"drylane/playback/deck"
	"drylane/show"

	tea "github.com/charmbracelet/bubbletea"
)

// A KeyMsg is one key, by the names that the key table uses.
type KeyMsg struct {
	Key string
	At  time.Time
	// Done says that the key's act has been done already, by the keys' own
	// goroutine, and only the screen is to follow.
	Done bool
}

// A MouseMsg is a press of the left button, or a turn of the wheel (Wheel is
// -1 for up, +1 for down).
type MouseMsg struct {
	X, Y  int
	Wheel int
}

// Command returns what the run is asked to do for an act that does not depend
// on the screen. ok is false for all others.
func Command(a Act) (do show.ScriptAction, ok bool) {
	nudge := func(d time.Duration) (show.ScriptAction, bool) {
		return show.ScriptAction{Command: show.Command{Action: show.Nudge, Step: d}}, true
	}
	switch a {
	case ActHold:
		return show.ScriptAction{Command: show.Command{Action: show.Hold}}, true
	case ActCut:
		return show.ScriptAction{Command: show.Command{Action: show.Cut}}, true
	case ActEarlier:
		return nudge(100 * time.Millisecond)
	case ActLater:
		return nudge(-100 * time.Millisecond)
	case ActEarlier5:
		return nudge(500 * time.Millisecond)
	case ActLater5:
		return nudge(-500 * time.Millisecond)
	case ActTap:
		return show.ScriptAction{Kind: show.KindTap}, true
	case ActCallEarly:
		return show.ScriptAction{Kind: show.KindCall}, true
	case ActCallLate:
		return show.ScriptAction{Kind: show.KindCall, Late: true}, true
	}
	return do, false
}

// teaKey takes a key that bubbletea read. A burst of keys may come as one.
func (m *Console) teaKey(msg tea.KeyMsg) tea.Cmd {
	if msg.Paste {
		if m.typing {
			m.filterText(show.Clean(string(msg.Runes)))
		}
		return nil
	}
	if msg.Type == tea.KeyRunes {
		var cmd tea.Cmd
		for _, r := range msg.Runes {
			cmd = m.key(KeyMsg{Key: runeKey(r), At: m.Now()})
		}
		return cmd
	}
	name := msg.String()
	if name == " " {
		name = "space"
	}
	return m.key(KeyMsg{Key: name, At: m.Now()})
}

func runeKey(r rune) string {
	if r == ' ' {
		return "space"
	}
	return string(r)
}

// key does what a key asks for.
func (m *Console) key(k KeyMsg) tea.Cmd {
	if m.typing {
		if b := m.Keys.Find(k.Key); b != nil && b.Act == ActHold { // holding works while typing
			m.doNow(show.ScriptAction{Command: show.Command{Action: show.Hold}}, k)
			return nil
		}
		m.typeKey(k.Key)
		return nil
	}
	if k.Key == "ctrl+z" {
		return m.suspend()
	}
	b := m.Keys.Find(k.Key)
	if m.overlay != noOverlay {
		return m.overlayKey(k, b)
	}
	if b == nil {
		return nil
	}
	if do, ok := Command(b.Act); ok {
		m.doNow(do, k)
		return nil
	}
	return m.act(b.Act, k.At)
}

// doNow does what does not depend on the screen, unless it has been done.
func (m *Console) doNow(do show.ScriptAction, k KeyMsg) {
	if !k.Done {
		m.Run.Do(do, k.At)
	}
}

func (m *Console) command(c show.Command, at time.Time) {
	m.Run.Do(show.ScriptAction{Command: c}, at)
}

// act does what depends on the screen.
func (m *Console) act(a Act, at time.Time) tea.Cmd {
	switch a {
	case ActArm:
		m.ticked = 0
		m.command(show.Command{Action: show.Arm}, at)
	case ActGo:
		m.goOn(at)
	case ActSilent:
		if m.snap.Lost {
			m.Run.Do(show.ScriptAction{Kind: show.KindSilent}, at)
		}
	case ActDown, ActBack:
		m.standDown(a == ActDown, at)
	case ActTick:
		if m.snap.Transport.State() != show.Held {
			return nil
		}
		m.ticked = min(m.ticked+1, len(m.Show.Console.Checklist))
	case ActReports:
		m.report = (m.report + 1) % len(reportModes)
		m.Run.SetReports(reportModes[m.report].gain)
	case ActListen:
		m.listenOn()
	case ActTheme:
		m.Theme = nextTheme(m.Theme, m.Themes)
	case ActStop:
		if m.StopOverview != nil {
			m.StopOverview()
			m.Overview = nil
		}
	case ActHelp:
		m.overlay, m.helpTop = helpOverlay, 0
	case ActBriefing:
		if m.Brief != nil {
			m.overlay, m.helpTop = briefOverlay, 0
		}
	case ActQuit:
		if s := m.snap.Transport.State(); s == show.Safe || s == show.Ended {
			m.Run.Quit()
			return tea.Quit
		}
		m.overlay = quitOverlay
	default:
		m.look2(a)
	}
	return nil
}

// goOn is the go key: what comes next in the run.
func (m *Console) goOn(at time.Time) {
	switch m.snap.Transport.State() {
	case show.Armed:
		m.command(show.Command{Action: show.Start}, at)
	case show.Held:
		m.command(show.Command{Action: show.Resume}, at)
	case show.Ended:
		m.command(show.Command{Action: show.Reset}, at)
	}
}

// keepHold ends a count-in: whatever else is wanted, the hold goes on.
func (m *Console) keepHold() {
	if !m.snap.ResumesAt.IsZero() {
		m.command(show.Command{Action: show.Hold}, m.Now())
	}
}

// counting returns the count that stands before the resume, 0 for none.
func (m *Console) counting() int {
	if m.snap.ResumesAt.IsZero() {
		return 0
	}
	return int((m.snap.ResumesAt.Sub(m.now) + deck.CountEvery - 1) / deck.CountEvery)
}

func (m *Console) standDown(down bool, at time.Time) {
	set := m.lanes()
	if m.lane >= len(set.group) || set.group[m.lane] < 0 {
		return
	}
	c := show.Command{Action: show.BringBack, Group: m.Plan.Groups[set.group[m.lane]]}
	if down {
		c.Action = show.StandDown
	}
	m.command(c, at)
}

// overlayKey takes the keys of the help, quit and first-run screens. Holding,
// cutting, nudging and tapping work under any of them.
func (m *Console) overlayKey(k KeyMsg, b *Binding) tea.Cmd {
	if b != nil && b.Now {
		if do, ok := Command(b.Act); ok {
			m.doNow(do, k)
		}
		if m.overlay == firstOverlay || m.overlay == briefOverlay {
			m.leaveWords() // any key goes on
		}
		return nil
	}
	switch m.overlay {
	case quitOverlay:
		switch k.Key {
		case "y":
			m.Run.Quit()
			return tea.Quit
		case "ctrl+c":
			m.Run.Quit()
			return tea.Quit
		case "n", "esc", "q":
			m.overlay = noOverlay
		}
	case helpOverlay, briefOverlay:
		if !scrolls(&m.helpTop, k.Key) {
			m.overlay = noOverlay
		}
	default:
		m.leaveWords()
		if b != nil && b.Act == ActQuit {
			m.Run.Quit()
			return tea.Quit
		}
	}
	return nil
}

// leaveWords closes the first words; a drill's briefing follows them.
func (m *Console) leaveWords() {
	if m.overlay == firstOverlay && m.FirstSeen != nil {
		m.FirstSeen()
	}
	if m.overlay == firstOverlay && m.Brief != nil {
		m.overlay, m.helpTop = briefOverlay, 0
		return
	}
	m.overlay = noOverlay
}

// typeKey edits the filter.
func (m *Console) typeKey(key string) {
	switch key {
	case "enter":
		m.setTyping(false)
	case "esc", "ctrl+c":
		m.setFilter("")
		m.setTyping(false)
	case "backspace":
		if m.filter != "" {
			_, n := utf8.DecodeLastRuneInString(m.filter)
			m.setFilter(m.filter[:len(m.filter)-n])
		}
	default:
		if utf8.RuneCountInString(key) == 1 {
			m.filterText(key)
		}
	}
}

func (m *Console) filterText(s string) { m.setFilter(m.filter + s) }

func (m *Console) setFilter(s string) {
	if utf8.RuneCountInString(s) > 40 {
		return
	}
	m.filter = s
	m.match = matcher(s, m.Plan, m.Show.Cues)
}

// suspend holds the show before the terminal goes away.
func (m *Console) suspend() tea.Cmd {
	m.keepHold()
	if m.snap.Transport.State() == show.Running {
		m.command(show.Command{Action: show.Hold, Cause: show.CauseSuspended}, m.Now())
	}
	if m.release != nil {
		m.release()
	}
	return tea.Suspend
}
