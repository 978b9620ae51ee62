package night

import (
	"time"

	"drylane/playback/evening"

	tea "github.com/charmbracelet/bubbletea"
)

// lookEvery is how often the list is drawn anew while files of its shows are read
// in the background.
const lookEvery = 500 * time.Millisecond

// A lookMsg draws the list anew.
type lookMsg struct{}

// lookAgain has the list drawn anew in a while if there is something to wait for.
func (m *Screen) lookAgain() tea.Cmd {
	if m.looking {
		return nil
	}
	for _, s := range m.Shows {
		if lock, _ := s.LockNow(); lock == evening.NotRead {
			m.looking = true
			return tea.Tick(lookEvery, func(time.Time) tea.Msg { return lookMsg{} })
		}
	}
	return nil
}
