package screen

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// A KeyMsg is one key, by the names that the key tables use.
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
	At    time.Time
}

// A PasteMsg is pasted text, as it came.
type PasteMsg string

// A GoneMsg says that the terminal's input has ended: no key will come any more.
type GoneMsg struct{}

// An Input is one thing that came from the terminal: a key by name, a press
// of the mouse, or pasted text.
type Input struct {
	Key   string
	Mouse *MouseMsg
	Paste string
}

// Msg is the message of an input that needs nothing done at once.
func (in Input) Msg(at time.Time) tea.Msg {
	switch {
	case in.Mouse != nil:
		e := *in.Mouse
		e.At = at
		return e
	case in.Paste != "":
		return PasteMsg(in.Paste)
	}
	return KeyMsg{Key: in.Key, At: at}
}
