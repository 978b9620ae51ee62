package console

import (
	"fmt"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/tui/screen"
)

// radioFor is how long a message from the field stands over the music, and is
// marked as new in the list.
const radioFor = 10 * time.Second

// newRadio returns the latest message from the field while it is new.
func (m *Screen) newRadio() (deck.RadioCall, bool) {
	n := len(m.snap.Radio)
	if n == 0 || m.now.Sub(m.snap.Radio[n-1].At) > radioFor {
		return deck.RadioCall{}, false
	}
	return m.snap.Radio[n-1], true
}

// drawCall lays the latest message over the music, whole and under the order that it
// is, for as long as it is new.
func (m *Screen) drawCall(c *screen.Canvas) {
	radio, isNew := m.newRadio()
	if !isNew {
		return
	}
	r := m.lay.wave
	for i, line := range m.Wrap("RADIO "+radioText(radio), c.W-2) {
		c.Fill(screen.Rect(0, r.Y+i, c.W, 1), ' ', screen.BarArmed)
		c.Text(1, r.Y+i, c.W-2, line, screen.BarArmed)
	}
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
func (m *Screen) drawRadio(c *screen.Canvas, r screen.Rectangle) screen.Rectangle {
	calls := m.snap.Radio
	if len(calls) == 0 {
		return r
	}
	rows := min(r.H/2, 1+2*len(calls))
	latest := m.Wrap(radioText(calls[len(calls)-1]), r.W-13) // in whole, if a cue is left beside it
	rows = max(rows, min(1+len(latest), r.H-2))
	foot := c.Heading(screen.Rect(r.X, r.Y+r.H-rows, r.W, rows), "radio")
	for i := len(calls) - 1; i >= 0 && foot.H > 0; i-- {
		age := m.now.Sub(calls[i].At)
		style := screen.Quiet
		if age <= radioFor {
			style = screen.Caution
		}
		c.Text(foot.X, foot.Y, 9, fmt.Sprintf("%s ago", screen.ClockText(age)), screen.Quiet)
		for _, line := range m.Wrap(radioText(calls[i]), foot.W-10) {
			if foot.H == 0 {
				break
			}
			c.Text(foot.X+10, foot.Y, foot.W-10, line, style)
			foot.Y++
			foot.H--
		}
	}
	r.H -= rows
	return r
}
