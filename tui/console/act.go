package console

import (
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// commandOf returns what the run is asked to do for an act that does not depend
// on the screen. ok is false for all others.
func commandOf(a screen.Act) (do show.ScriptAction, ok bool) {
	nudge := func(d time.Duration) (show.ScriptAction, bool) {
		return show.ScriptAction{Command: show.Command{Action: show.Nudge, Step: d}}, true
	}
	switch a {
	case actHold:
		return show.ScriptAction{Command: show.Command{Action: show.Hold}}, true
	case actCut:
		return show.ScriptAction{Command: show.Command{Action: show.Cut}}, true
	case actEarlier:
		return nudge(100 * time.Millisecond)
	case actLater:
		return nudge(-100 * time.Millisecond)
	case actEarlier5:
		return nudge(500 * time.Millisecond)
	case actLater5:
		return nudge(-500 * time.Millisecond)
	case actTap:
		return show.ScriptAction{Kind: show.KindTap}, true
	case actCallEarly:
		return show.ScriptAction{Kind: show.KindCall}, true
	case actCallLate:
		return show.ScriptAction{Kind: show.KindCall, Late: true}, true
	}
	return do, false
}

// key does what a key asks for.
func (m *Screen) key(k screen.KeyMsg) tea.Cmd {
	m.trouble = ""
	if m.typing {
		if b := m.Keys.Find(k.Key); b != nil && b.Act == actHold { // holding works while typing
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
	if do, ok := commandOf(b.Act); ok {
		m.doNow(do, k)
		return nil
	}
	return m.act(b.Act, k.At)
}

// doNow does what does not depend on the screen, unless it has been done.
func (m *Screen) doNow(do show.ScriptAction, k screen.KeyMsg) {
	if !k.Done {
		m.Run.Do(do, k.At)
	}
}

func (m *Screen) command(c show.Command, at time.Time) {
	m.Run.Do(show.ScriptAction{Command: c}, at)
}

// act does what depends on the screen.
func (m *Screen) act(a screen.Act, at time.Time) tea.Cmd {
	switch a {
	case actArm:
		m.ticked = 0
		m.command(show.Command{Action: show.Arm}, at)
	case actGo:
		m.goOn(at)
	case actSilent:
		if m.snap.Lost {
			m.Run.Do(show.ScriptAction{Kind: show.KindSilent}, at)
		}
	case actDown, actBack:
		m.standDown(a == actDown, at)
	case actReports:
		m.report = (m.report + 1) % len(reportModes)
		m.Run.SetReports(reportModes[m.report].gain)
	case actListen:
		m.listenOn()
	case ActCheck, ActCalibrate:
		return m.stepAside(a)
	case screen.ActQuit:
		if s := m.snap.Transport.State(); s == show.Safe || s == show.Ended {
			m.Run.Quit()
			return tea.Quit
		}
		m.overlay = quitOverlay
	default:
		m.changeScreen(a)
	}
	return nil
}

// changeScreen does the acts of which the run knows nothing.
func (m *Screen) changeScreen(a screen.Act) {
	switch a {
	case actTick:
		if m.snap.Transport.State() == show.Held {
			m.ticked = min(m.ticked+1, len(m.Show.Console.Checklist))
		}
	case screen.ActTheme:
		m.NextTheme()
	case actStopReading:
		if m.StopOverview != nil {
			m.StopOverview()
			m.Overview = nil
		}
	case screen.ActHelp:
		m.overlay, m.helpTop = helpOverlay, 0
	case actBriefing:
		if m.Brief != nil {
			m.overlay, m.helpTop = briefOverlay, 0
		}
	default:
		m.changeView(a)
	}
}

// stepAside lets another screen stand in the console's place, while the show is
// safe.
func (m *Screen) stepAside(a screen.Act) tea.Cmd {
	if m.Aside == nil || m.snap.Transport.State() != show.Safe {
		return nil
	}
	cmd, err := m.Aside(a)
	if err != nil {
		m.trouble = err.Error()
	}
	return cmd
}

// goOn is the go key: what comes next in the run.
func (m *Screen) goOn(at time.Time) {
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
func (m *Screen) keepHold() {
	if !m.snap.ResumesAt.IsZero() {
		m.command(show.Command{Action: show.Hold}, m.Now())
	}
}

// counting returns the count that stands before the resume, 0 for none.
func (m *Screen) counting() int {
	if m.snap.ResumesAt.IsZero() {
		return 0
	}
	return int((m.snap.ResumesAt.Sub(m.now) + deck.CountEvery - 1) / deck.CountEvery)
}

func (m *Screen) standDown(down bool, at time.Time) {
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
func (m *Screen) overlayKey(k screen.KeyMsg, b *screen.Binding) tea.Cmd {
	if b != nil && b.Now {
		if do, ok := commandOf(b.Act); ok {
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
		if !screen.Scrolls(&m.helpTop, k.Key) {
			m.overlay = noOverlay
		}
	default:
		m.leaveWords()
		if b != nil && b.Act == screen.ActQuit {
			m.Run.Quit()
			return tea.Quit
		}
	}
	return nil
}

// leaveWords closes the first words; a drill's briefing follows them.
func (m *Screen) leaveWords() {
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
func (m *Screen) typeKey(key string) {
	switch key {
	case "enter":
		m.setTyping(false)
	case "esc", "ctrl+c":
		m.filter.Text = ""
		m.setTyping(false)
	default:
		m.filter.Key(key)
	}
	m.applyFilter()
}

func (m *Screen) applyFilter() { m.match = matcher(m.filter.Text, m.Plan, m.Show.Cues) }

// suspend holds the show before the terminal goes away.
func (m *Screen) suspend() tea.Cmd {
	m.keepHold()
	if m.snap.Transport.State() == show.Running {
		m.command(show.Command{Action: show.Hold, Cause: show.CauseSuspended}, m.Now())
	}
	return tea.Suspend
}
