package night

import (
	"time"

	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// key does what a key asks for on the list.
func (m *Screen) key(key string) tea.Cmd {
	if key == "ctrl+z" {
		return tea.Suspend
	}
	if key == "q" || key == "ctrl+c" {
		return tea.Quit
	}
	if m.busy != "" {
		return nil
	}
	switch key {
	case "enter":
		return m.begin()
	case "up":
		m.list.Move(-1)
	case "down":
		m.list.Move(+1)
	case "m":
		m.NextTheme()
	}
	return nil
}

// begin opens the marked show.
func (m *Screen) begin() tea.Cmd {
	i := m.list.Mark
	m.trouble, m.busy = "", "opening "+m.Shows[i].Title
	return func() tea.Msg {
		run, err := m.Open(i)
		return openedMsg{i, run, err}
	}
}

// mouse marks the line that was pressed, or the next one.
func (m *Screen) mouse(e screen.MouseMsg) {
	if m.canvas.Fits() && m.busy == "" {
		m.list.Mouse(e, m.lay.rows)
	}
}

// Arrived implements screen.Model: the open console takes its keys at once.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	if o := m.open.Load(); o != nil {
		return o.Arrived(in, at)
	}
	return in.Msg(at)
}
