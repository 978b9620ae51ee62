package console

import (
	"fmt"
	"strings"
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

// askedOnce says what was refused and would be done if it were asked for again, and
// why; nothing when there is no such thing. Where there is no room for all of it, what
// is to be pressed stands first.
func (m *Screen) askedOnce() string {
	a := m.snap.Again
	if !m.now.Before(a.Until) {
		return ""
	}
	press := "the same key again does it"
	switch {
	case a.Enter != "":
		press = m.Keys.Name(actRepair) + " and the digit again lets " + show.Clean(a.Enter) + " in"
	case a.Action == show.Arm:
		press = m.Keys.Name(actArm) + " again arms all the same"
	case a.Action == show.Reenter:
		press = m.Keys.Name(actArm) + " again arms from there all the same"
	case a.Action == show.Resume:
		press = m.Keys.Name(actGo) + " again resumes all the same"
	case a.Action == show.Start:
		press = m.Keys.Name(actGo) + " again starts all the same"
	}
	if text := a.Why + ": " + press; m.Width(text) <= m.lay.message.W-2 {
		return text
	}
	return m.asMuchOf(strings.TrimSuffix(press, " all the same")+": ", a.Why)
}

// asMuchOf is as many of the reasons behind head as the message line has room for, and how
// many more there are.
func (m *Screen) asMuchOf(head, why string) string {
	text, rest := head+why, why
	for more := 1; m.Width(text) > m.lay.message.W-2; more++ {
		end := max(strings.LastIndex(rest, ", "), strings.LastIndex(rest, "; "))
		if end < 0 {
			return head + why
		}
		rest = rest[:end]
		text = fmt.Sprintf("%s%s; %d more", head, rest, more)
	}
	return text
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
