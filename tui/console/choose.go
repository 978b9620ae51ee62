package console

import (
	"fmt"

	"drylane/tui/screen"
)

// choose takes a key of a list whose lines have digits, from first up to but for end. A
// line is chosen by its digit or, where a hand or a glove reaches none, by the keys that
// go up and down and the one that goes on. n is that line, -1 while none is or where the
// digit has none; ok is false for any other key, which takes the list away. A key held
// down chooses nothing: no line is marked at first.
func (h *hand) choose(p pressed, first, end int) (n int, ok bool) {
	n, digit := digit(p.key)
	switch {
	case p.act == actGo && h.pick >= first: // also where that key is a digit
		h.mode, n = runMode, h.pick
	case digit:
		h.mode = runMode
	case p.act == actLaneDown:
		h.pick = min(max(h.pick, first-1)+1, end-1)
		return -1, true
	case p.act == actLaneUp:
		h.pick = max(h.pick-1, first)
		return -1, true
	default:
		h.mode = runMode
		return -1, false
	}
	if n < first || n >= end {
		n = -1
	}
	return n, true
}

// drawPick marks the line of a list that is chosen, if it is that of digit n.
func (m *Screen) drawPick(c *screen.Canvas, x, y, n int) {
	if n == m.pick {
		c.Set(x, y, '▸', screen.Strong)
	}
}

// digitsFree reports whether no digit from first to last has an act in the key map.
func (m *Screen) digitsFree(first, last rune) bool {
	for d := first; d <= last; d++ {
		if m.actOf(string(d)) != "" {
			return false
		}
	}
	return true
}

// firstFit is the first of some wordings that has room, the last if none has.
func (m *Screen) firstFit(room int, texts ...string) string {
	for _, text := range texts {
		if m.Width(text) <= room {
			return text
		}
	}
	return texts[len(texts)-1]
}

// chooseHint says how a line of such a list is chosen.
func (m *Screen) chooseHint() string {
	k := m.Keys.Name
	return fmt.Sprintf("a digit or %s %s %s says it; any other key goes back", k(actLaneUp), k(actLaneDown), k(actGo))
}
