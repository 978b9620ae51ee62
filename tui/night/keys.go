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
		m.move(-1)
	case "down":
		m.move(+1)
	case "m":
		m.Theme = screen.NextTheme(m.Theme, m.Themes)
	}
	return nil
}

// begin opens the marked show.
func (m *Screen) begin() tea.Cmd {
	i := m.mark
	m.trouble, m.busy = "", "opening "+m.Shows[i].Title
	return func() tea.Msg {
		run, err := m.Open(i)
		return openedMsg{i, run, err}
	}
}

func (m *Screen) move(by int) { m.mark = max(0, min(m.mark+by, len(m.Shows)-1)) }

// mouse marks the line that was pressed, or the next one.
func (m *Screen) mouse(e screen.MouseMsg) {
	if m.lay.tooSmall || m.busy != "" {
		return
	}
	m.move(e.Wheel)
	if i := m.first + e.Y - m.lay.rows.Y; e.Wheel == 0 && m.lay.rows.Contains(e.X, e.Y) && i < len(m.Shows) {
		m.mark = i
	}
}

// Arrived is the screen interface's: it runs in the keys' goroutine.
func (m *Screen) Arrived(in screen.Input, at time.Time) tea.Msg {
	if o := m.open.Load(); o != nil {
		return o.Arrived(in, at)
	}
	return in.Msg(at)
}
