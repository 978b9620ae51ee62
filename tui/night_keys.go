package tui

import (
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// key does what a key asks for on the list.
func (m *Night) key(key string) tea.Cmd {
	if key == "ctrl+z" {
		if m.release != nil {
			m.release()
		}
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
		m.nextTheme()
	}
	return nil
}

// begin opens the marked show.
func (m *Night) begin() tea.Cmd {
	i := m.mark
	m.trouble, m.busy = "", "opening "+m.Shows[i].Title
	return func() tea.Msg {
		run, err := m.Open(i)
		return nightOpened{i, run, err}
	}
}

func (m *Night) move(by int) { m.mark = max(0, min(m.mark+by, len(m.Shows)-1)) }

func (m *Night) nextTheme() {
	if m.Themes != nil {
		i := slices.Index(ThemeNames, m.Theme.Name)
		m.Theme = m.Themes(ThemeNames[(i+1)%len(ThemeNames)])
	}
}

// mouse marks the line that was pressed, or the next one.
func (m *Night) mouse(e MouseMsg) {
	if m.lay.tooSmall || m.busy != "" {
		return
	}
	m.move(e.Wheel)
	if i := m.first + e.Y - m.lay.rows.y; e.Wheel == 0 && m.lay.rows.contains(e.X, e.Y) && i < len(m.Shows) {
		m.mark = i
	}
}

// arrived is the screen interface's: it runs in the keys' goroutine.
func (m *Night) arrived(in input, at time.Time) tea.Msg {
	switch o := m.open.Load(); {
	case o != nil:
		return o.arrived(in, at)
	case in.mouse != nil:
		return *in.mouse
	}
	return KeyMsg{Key: in.key, At: at}
}
