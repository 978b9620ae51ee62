package screen

import tea "github.com/charmbracelet/bubbletea"

// The largest window that is drawn on, in columns and rows: more than any screen
// shows that can be read. Of a larger one the rest stays empty; a terminal may call
// itself any size, and a canvas as large as that would take gigabytes.
const (
	maxWidth  = 1000
	maxHeight = 400
)

// drawnOn is the part of a window that is drawn on.
func drawnOn(w tea.WindowSizeMsg) tea.WindowSizeMsg {
	return tea.WindowSizeMsg{Width: min(w.Width, maxWidth), Height: min(w.Height, maxHeight)}
}
