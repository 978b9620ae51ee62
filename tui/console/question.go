package console

import (
	"fmt"
	"strings"

	"drylane/playback/deck"
	"drylane/show"
)

// askedOnce says what was refused and would be done if it were asked for again, and
// why; nothing when there is no such thing. Where a line has no room for all of it, what
// is to be pressed stands first, and it takes the lines that it needs: who agrees has
// seen what to.
func (m *Screen) askedOnce() string {
	a := m.snap.Again
	if !m.now.Before(a.Until) {
		return ""
	}
	press, why := m.pressAgain(a), m.whyAsked(a)
	if text := why + ": " + press; m.Width(text) <= m.lay.message.W-2 {
		return text
	}
	return m.asMuchOf(strings.TrimSuffix(press, " all the same")+": ", why)
}

// pressAgain says what is to be pressed, and what that does.
func (m *Screen) pressAgain(a deck.Again) string {
	switch {
	case a.Enter != "":
		return m.Keys.Name(actRepair) + " and the digit again lets " + show.Clean(a.Enter) + " in"
	case a.Action == show.Arm:
		return m.Keys.Name(actArm) + " again arms all the same"
	case a.Action == show.Reenter:
		return m.Keys.Name(actArm) + " again arms from there all the same"
	case a.Action == show.Resume:
		return m.Keys.Name(actGo) + " again resumes all the same"
	case a.Action == show.Start:
		return m.Keys.Name(actGo) + " again starts all the same"
	}
	return "the same key again does it"
}

// whyAsked is why it was refused, with the names of those whom a resume would not wait
// for. Told as lines there are none: each who answers meanwhile would begin it anew.
func (m *Screen) whyAsked(a deck.Again) string {
	if m.inLines || m.Others == nil || a.Action != show.Resume {
		return a.Why
	}
	_, waits := awaited(m.Others.Board())
	if len(waits) == 0 {
		return a.Why
	}
	return a.Why + "; not acknowledged: " + some(waits)
}

// asMuchOf is as many of the reasons behind head as there are rows for, and how many more
// there are.
func (m *Screen) asMuchOf(head, why string) string {
	text, rest := head+why, why
	for more := 1; !m.inLines && len(m.questionRows(text)) > m.mostRows(); more++ {
		end := max(strings.LastIndex(rest, ", "), strings.LastIndex(rest, "; "))
		if end < 0 {
			return head + why
		}
		rest = rest[:end]
		text = fmt.Sprintf("%s%s; %d more", head, rest, more)
	}
	return text
}

// questionRows are the rows of a question, the last of them the message line.
func (m *Screen) questionRows(text string) []string {
	return m.Wrap(text, max(1, m.lay.message.W-2))
}

// mostRows is how many rows a question may take: as many as the panels have below their
// headings, for that of a hold must be read meanwhile, and the message line.
func (m *Screen) mostRows() int { return max(1, m.lay.panels.H) }
