package crew

import (
	"fmt"
	"slices"
	"strings"

	link "drylane/playback/crew"
	"drylane/show/crew"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// The columns of the list of cues: the mark, when, which cue, and where for those who see
// all. Its effect stands behind them, or below where there is no room.
const (
	cueWhen  = 2
	cueID    = 13
	cuePlace = 12 // columns for where, at most
)

// drawCues lists the few cues before now and those to come.
func (m *Screen) drawCues(c *screen.Canvas, r screen.Rectangle) {
	title := fmt.Sprintf("cues: %d to come", m.view.Cues.Left)
	if m.wasCut() {
		title = cutTitle(m.view.Cues.Left)
	}
	r = c.Heading(r, title)
	hand := m.cueInHand()
	list := m.view.Cues.List
	for len(list) > r.H && list[0].Fired && list[0].ID != hand {
		list = list[1:]
	}
	list = list[:min(len(list), max(0, r.H))]
	below := m.below(list, r)
	for _, cue := range list {
		rows := below[cue.ID]
		m.drawCue(c, r, cue, len(rows) > 0)
		for i, row := range rows {
			c.Text(r.X+cueID, r.Y+1+i, r.W-cueID, row, m.cueStyle(cue))
		}
		r.Y += 1 + len(rows)
	}
	if len(list) == 0 {
		c.Text(r.X, r.Y, r.W, "no cues to tell of", screen.Quiet)
	}
}

// cutTitle heads the cues that a cut left, in the 38 columns that a window of 80 has for it.
func cutTitle(left int) string { return words.Count(left, "cue") + " loaded: treat as live" }

// below are the rows that the effects of cues have below them, by the cue: of those that
// have no room beside it, and as far as there are rows to spare. The cue in hand and the
// next one come first.
func (m *Screen) below(list []link.Cue, r screen.Rectangle) map[string][]string {
	rows, spare := map[string][]string{}, r.H-len(list)
	first := slices.Clone(list)
	slices.SortStableFunc(first, func(a, b link.Cue) int { return m.nearness(a) - m.nearness(b) })
	for _, cue := range first {
		if m.fitsBeside(cue, r.W) {
			continue
		}
		text := cue.Effect
		if m.Role.Kind.Sees(crew.SeesAll) && m.Width(cue.Position) > cuePlace {
			text = strings.TrimSuffix(cue.Position+", "+text, ", ")
		}
		if w := m.Wrap(text, r.W-cueID); len(w) <= spare {
			rows[cue.ID], spare = w, spare-len(w)
		}
	}
	return rows
}

// nearness is 0 for the cue in hand, 1 for the next one, and 2 for all others.
func (m *Screen) nearness(cue link.Cue) int {
	switch next := m.next(); {
	case cue.ID == m.cueInHand():
		return 0
	case next != nil && cue.ID == next.ID:
		return 1
	}
	return 2
}

// effectAt is the column that a cue's effect begins in, if it stands beside the cue.
func (m *Screen) effectAt(cue link.Cue) int {
	x := max(cueID+min(m.Width(cue.ID), 8), cueID+5)
	if m.Role.Kind.Sees(crew.SeesAll) {
		x = max(x+1+min(m.Width(cue.Position), cuePlace), x+9)
	}
	return x + 1
}

// fitsBeside reports whether all of a cue has room in a row of w columns.
func (m *Screen) fitsBeside(cue link.Cue, w int) bool {
	return m.effectAt(cue)+m.Width(cue.Effect) <= w && (m.Width(cue.Position) <= cuePlace || !m.Role.Kind.Sees(crew.SeesAll))
}

// drawCue draws a cue's row. Of an effect that has no room beside it nothing is drawn
// rather than a part.
func (m *Screen) drawCue(c *screen.Canvas, r screen.Rectangle, cue link.Cue, below bool) {
	style := m.cueStyle(cue)
	if cue.ID == m.cueInHand() && m.Role.Kind.May(crew.Seen) {
		c.Text(r.X, r.Y, 2, "▸", screen.Strong)
	}
	c.Text(r.X+cueWhen, r.Y, cueID-cueWhen, m.cueTime(cue), style)
	x := max(c.Text(r.X+cueID, r.Y, 8, cue.ID, style), r.X+cueID+5)
	if m.Role.Kind.Sees(crew.SeesAll) && !(below && m.Width(cue.Position) > cuePlace) {
		c.Text(x+1, r.Y, cuePlace, cue.Position, style)
	}
	if m.fitsBeside(cue, r.W) {
		c.Text(r.X+m.effectAt(cue), r.Y, r.W-m.effectAt(cue), cue.Effect, style)
	}
}

// cueTime says when a cue comes, or what became of it.
func (m *Screen) cueTime(cue link.Cue) string {
	switch said := saidOf[m.told[cue.ID]]; {
	case m.view.Lost && !cue.Fired:
		return "not known"
	case cue.Down:
		return "down"
	case cue.Fired && said != "":
		return said
	case cue.Fired:
		return "commanded"
	case m.wasCut():
		return "loaded"
	}
	return screen.ToGo(max(0, m.view.Until(cue.Lit)))
}

func (m *Screen) cueStyle(cue link.Cue) screen.Style {
	switch {
	case m.view.Lost && !cue.Fired:
		return screen.Caution
	case cue.Down:
		return screen.DownMark
	case cue.Fired:
		return screen.Quiet
	case m.wasCut():
		return screen.Caution
	case cue.Committed:
		return screen.Strong
	}
	return screen.Normal
}

var saidOf = map[crew.Deed]string{crew.Seen: "seen", crew.Missing: "did not go"}

// drawEvents lists what happened, the latest first. One that is longer than a row goes on
// in the next, and is left out where there is not room for all of it.
func (m *Screen) drawEvents(c *screen.Canvas, r screen.Rectangle) {
	if r.H < 2 {
		return
	}
	r = c.Heading(r, "latest events")
	const text = 9 // columns for when it was
	rate, length := max(1, m.view.Welcome.Rate), m.view.Welcome.Length
	for _, e := range slices.Backward(m.view.Events) {
		said := e.Words(rate, timebase.FrameAt(length, rate))
		switch e.Kind {
		case session.KindCrew:
		case session.KindDrill: // of which only the radio is told here
			said = "radio, " + said
		default:
			said = strings.TrimSuffix(e.Kind+": "+said, ": ")
		}
		rows := m.Wrap(said, r.W-text)
		if len(rows) > r.H {
			return
		}
		c.Text(r.X, r.Y, text, timebase.ClockTenths(timebase.Frame(e.Heard).At(rate)), screen.Quiet)
		for i, row := range rows {
			c.Text(r.X+text, r.Y+i, r.W-text, row, screen.Normal)
		}
		r.Y, r.H = r.Y+len(rows), r.H-len(rows)
	}
}
