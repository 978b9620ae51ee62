package console

import (
	"fmt"

	roles "drylane/show/crew"
	"drylane/tui/screen"
)

// crewReady is what those of the crew who answer to a name on the go / no-go list say of
// themselves, whole and in a word; empty where there are none. It ticks nothing: a key
// pressed at a position is not an answer that the shooter has asked for and heard.
func (m *Screen) crewReady(who string) (whole, word string) {
	if m.Others == nil {
		return "", ""
	}
	all, ready, name := 0, 0, ""
	lost := false
	for _, l := range m.Others.Board().Lines {
		role, err := roles.ParseRole(l.Role)
		if err != nil || !role.Kind.Answers() || !role.Named(l.Name, who) {
			continue
		}
		all++
		name, lost = l.Name, l.Lost > 0
		if l.Ready && !lost {
			ready++
		}
	}
	switch {
	case all == 0:
		return "", ""
	case all > 1:
		word = fmt.Sprintf("%d of %d ready", ready, all)
		return word, word
	case lost:
		word = "LINK LOST"
	case ready == 1:
		word = "ready"
	default:
		word = "not ready yet"
	}
	return name + ": " + word, word
}

// drawCrewReady draws that at the right end of a line of the list which has been drawn up
// to column x: as much of it as there is room for.
func (m *Screen) drawCrewReady(c *screen.Canvas, r screen.Rectangle, x int, who string, style screen.Style) {
	whole, word := m.crewReady(who)
	for _, text := range []string{whole, word} {
		if x+2+m.Width(text) <= r.X+r.W {
			c.Right(r.X+r.W, r.Y, text, style)
			return
		}
	}
}
