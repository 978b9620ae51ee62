package screen

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// frameEvery is the time between two looks of a screen at what it shows.
const frameEvery = time.Second / 30

// MessageFor is how long a plain message stays.
const MessageFor = 6 * time.Second

// A Ticker sends a screen its ticks: the moments at which it looks again.
type Ticker struct{ gen int }

// A TickMsg is a tick of one Ticker.
type TickMsg struct {
	of  *Ticker
	gen int
}

// Now is a tick at this moment.
func (t *Ticker) Now() TickMsg { return TickMsg{t, t.gen} }

// Next sends the next tick when it is due.
func (t *Ticker) Next() tea.Cmd {
	tick := t.Now()
	return tea.Tick(frameEvery, func(time.Time) tea.Msg { return tick })
}

// Restart begins anew after the program was suspended. A tick that is still on
// its way counts no more, so that there is never more than one.
func (t *Ticker) Restart() tea.Cmd {
	t.gen++
	return t.Next()
}

// Owns reports whether a tick is t's, and not that of a screen that was left
// or from before a restart.
func (t *Ticker) Owns(m TickMsg) bool { return m.of == t && m.gen == t.gen }
