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
	case ActTap:
		return show.ScriptAction{Kind: show.KindTap}, true
	case actCallEarly:
		return show.ScriptAction{Kind: show.KindCall}, true
	case actCallLate:
		return show.ScriptAction{Kind: show.KindCall, Late: true}, true
	}
	return do, false
}

// always does what works whatever else keys are for, but for typing. ok is false
// for all other acts.
func (m *Screen) always(a screen.Act, at time.Time) (ok bool) {
	do, ok := commandOf(a)
	if ok {
		m.Run.Do(do, at)
	}
	return ok
}

// stop is always for a hold or a cut.
func (m *Screen) stop(a screen.Act, at time.Time) (ok bool) {
	return (a == actHold || a == actCut) && m.always(a, at)
}

func (m *Screen) command(c show.Command, at time.Time) {
	m.Run.Do(show.ScriptAction{Command: c}, at)
}

// after lets the screen follow a key.
func (m *Screen) after(p pressed) tea.Cmd {
	m.trouble = ""
	if p.to == leftMode {
		return tea.Quit
	}
	if p.suspends() {
		return tea.Suspend
	}
	if p.to != p.from {
		m.helpTop = 0
	}
	switch p.from {
	case runMode:
		return m.act(p)
	case typeMode:
		if p.act != actHold {
			m.typeKey(p.key)
		}
	case helpMode, briefMode:
		screen.Scrolls(&m.helpTop, p.key)
	case firstMode:
		if m.FirstSeen != nil {
			m.FirstSeen()
		}
	}
	return nil
}

// act does what is left of an act for the screen.
func (m *Screen) act(p pressed) tea.Cmd {
	switch p.act {
	case actBangs:
		m.bangs = (m.bangs + 1) % len(bangModes)
		m.Run.SetBangs(bangModes[m.bangs].gain)
	case actListen:
		m.listenOn()
	case ActCheck, ActCalibrate:
		if p.to == asideMode {
			return m.stepAside(p.act)
		}
	default:
		m.changeScreen(p.act)
	}
	return nil
}

// changeScreen does the acts of which the run knows nothing.
func (m *Screen) changeScreen(a screen.Act) {
	switch a {
	case screen.ActTheme:
		m.NextTheme()
	case actStopReading:
		if m.StopOverview != nil {
			m.StopOverview()
			m.Overview = nil
		}
	default:
		m.changeView(a)
	}
}

// stepAside lets another screen stand in the console's place, while the show is
// safe.
func (m *Screen) stepAside(a screen.Act) tea.Cmd {
	if m.state() != show.Safe {
		m.Back()
		return nil
	}
	cmd, err := m.Aside(a)
	if err != nil {
		m.trouble = err.Error()
		m.Back()
	}
	return cmd
}

// counting returns the count that stands before the resume, 0 for none.
func (m *Screen) counting() int {
	if m.snap.ResumesAt.IsZero() {
		return 0
	}
	return int((m.snap.ResumesAt.Sub(m.now) + deck.CountEvery - 1) / deck.CountEvery)
}

// groupOf is the group of a lane: an index into the plan's, -1 when it is none.
func (m *Screen) groupOf(set, lane int) int {
	if groups := m.sets[set].group; lane < len(groups) {
		return groups[lane]
	}
	return -1
}

func (m *Screen) standDown(down bool, group int, at time.Time) {
	c := show.Command{Action: show.BringBack, Group: m.Plan.Groups[group]}
	if down {
		c.Action = show.StandDown
	}
	m.command(c, at)
}

// typeKey edits the filter.
func (m *Screen) typeKey(key string) {
	switch key {
	case "enter", "tab":
	case "esc", "ctrl+c":
		m.filter.Text = ""
	default:
		m.filter.Key(key)
	}
	m.applyFilter()
}

func (m *Screen) applyFilter() { m.match = matcher(m.filter.Text, m.Plan, m.Show.Cues) }
