package tui

import (
	"fmt"
	"strings"
	"time"

	"drylane/playback/deck"
)

// radioFor is how long a message from the field stands in the message line,
// and is marked as new in the list.
const radioFor = 10 * time.Second

// newRadio returns the latest message from the field while it is new.
func (m *Console) newRadio() (deck.RadioCall, bool) {
	n := len(m.snap.Radio)
	if n == 0 || m.now.Sub(m.snap.Radio[n-1].At) > radioFor {
		return deck.RadioCall{}, false
	}
	return m.snap.Radio[n-1], true
}

// radioText is a message with who speaks, where it does not say so itself.
func radioText(r deck.RadioCall) string {
	if strings.HasPrefix(strings.ToLower(r.Text), strings.ToLower(r.From)) {
		return r.Text
	}
	return r.From + ": " + r.Text
}

// drawRadio lists the latest messages from the field at the foot of a panel,
// the latest first, and returns what is left of it.
func (m *Console) drawRadio(c *canvas, r rect) rect {
	calls := m.snap.Radio
	if len(calls) == 0 {
		return r
	}
	rows := min(r.h/2, 1+2*len(calls))
	foot := heading(c, rect{r.x, r.y + r.h - rows, r.w, rows}, "radio")
	for i := len(calls) - 1; i >= 0 && foot.h > 0; i-- {
		age := m.now.Sub(calls[i].At)
		style := Quiet
		if age <= radioFor {
			style = Caution
		}
		c.text(foot.x, foot.y, 9, fmt.Sprintf("%s ago", clockText(age)), Quiet)
		for _, line := range wrap(radioText(calls[i]), foot.w-10) {
			if foot.h == 0 {
				break
			}
			c.text(foot.x+10, foot.y, foot.w-10, line, style)
			foot.y++
			foot.h--
		}
	}
	r.h -= rows
	return r
}
