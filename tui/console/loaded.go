package console

import (
	"fmt"

	"drylane/show/reentry"
	"drylane/tui/screen"
)

// stillLoaded is what the panel of the cues is called that were not fired and will not be.
const stillLoaded = "still loaded: treat as live"

// factLoaded says, once a run has been re-entered and until its end, how many cues are
// still loaded and which. ok is false where there is nothing to say.
func (m *Screen) factLoaded(c *screen.Canvas) (ok bool) {
	t := &m.snap.Transport
	if !t.Reentered() {
		return false
	}
	list := t.Loaded(m.closing.loaded[:0])
	if m.closing.loaded = list; len(list) == 0 {
		return false
	}
	x, y, end := m.fact(c, factDrift, "LOADED")
	c.Text(x, y, end-x, m.loadedText(list, end-x), screen.Alarm)
	return true
}

// loadedText names the cues of a list in so many columns, or as many as fit.
func (m *Screen) loadedText(list []int, room int) string {
	head := fmt.Sprintf("%d %s", len(list), stillLoaded)
	named := reentry.NamedWithin(list, m.planID, func(text string) bool { return screen.Width(head+": "+text) <= room })
	if named == "" {
		return head
	}
	return head + ": " + named
}

// drawLoaded lists the cues that are still loaded, with their pins.
func (m *Screen) drawLoaded(c *screen.Canvas, r screen.Rectangle) {
	r = c.Heading(r, stillLoaded)
	list := m.snap.Transport.Loaded(m.closing.loaded[:0])
	if m.closing.loaded = list; len(list) == 0 {
		c.Paragraph(r).Write("nothing was left out so far", screen.Quiet)
		return
	}
	for k, i := range list {
		if k == r.H-1 && len(list) > r.H {
			c.Text(r.X, r.Y+k, r.W, fmt.Sprintf("and %d more", len(list)-k), screen.Alarm)
			return
		}
		cue := m.cue(i)
		pin := "by hand"
		if cue.Module != "" {
			pin = fmt.Sprintf("%s pin %d", cue.Module, cue.Pin)
		}
		c.Text(r.X, r.Y+k, r.W, fmt.Sprintf("%-*s %-*s %s", m.idWidth, cue.ID, m.posWidth, cue.Position, pin), screen.Normal)
	}
}
