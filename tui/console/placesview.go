package console

import (
	"fmt"
	"strings"

	"drylane/show/reentry"
	"drylane/show/timebase"
	"drylane/show/words"
	"drylane/tui/screen"
)

// drawPlaces draws the places that the show can start again from, with what a start from
// the chosen one would do.
func (m *Screen) drawPlaces(c *screen.Canvas) {
	const detail, frame = 7, 3 // lines of the chosen place; of the box and the table's head
	l, h := m.places.latest.Load(), &m.hand.places
	n := 1
	if l != nil {
		n = max(1, len(l.list))
	}
	// What is still up, and the nudge, stay in sight.
	top := m.lay.wave.Y - 1
	r := c.BoxIn(screen.Rect(0, top, c.W, m.lay.message.Y-top), 100, n+detail+frame, "start again from where?")
	if l == nil {
		c.Text(r.X, r.Y, r.W, "working it out", screen.Quiet)
		return
	}
	rows := screen.Rect(r.X, r.Y, r.W, r.H-detail)
	chosen := -1
	if h.typed == "" {
		chosen = h.chosen(l.list, m.heard().At(m.Plan.Rate))
	}
	m.drawPlaceRows(c, rows, l.list, chosen)
	p := l.hand
	if chosen >= 0 {
		p = &l.list[chosen]
	}
	m.drawPlace(c, screen.Rect(r.X, r.Y+r.H-detail, r.W, detail), p, l.of.known)
}

func (m *Screen) drawPlaceRows(c *screen.Canvas, r screen.Rectangle, list []reentry.Proposal, chosen int) {
	v := &m.places
	c.Text(r.X+2, r.Y, r.W, fmt.Sprintf("%-11s %11s %6s %11s  %s", "place", "first cue", "fires", "stay loaded", "why"), screen.Quiet)
	shown := min(len(list), r.H-1)
	v.top = max(0, min(v.top, len(list)-shown, max(0, chosen)))
	if chosen >= v.top+shown {
		v.top = chosen - shown + 1
	}
	for i, p := range list[v.top : v.top+shown] {
		style, mark := screen.Normal, "  "
		if v.top+i == chosen {
			style, mark = screen.Strong, "▸ "
		}
		c.Text(r.X, r.Y+1+i, r.W, fmt.Sprintf("%s%-11s %11s %6d %11d  %s", mark, timebase.ClockMillis(p.At),
			fmt.Sprintf("in %.1f s", p.First.At(m.Plan.Rate).Seconds()), p.Fires, len(p.Skipped), p.Why), style)
	}
	switch {
	case len(list) == 0:
		c.Text(r.X, r.Y+1, r.W, "no place: nothing is left to fire", screen.Caution)
	case len(list) > shown:
		c.Right(r.X+r.W, r.Y, fmt.Sprintf("%d of %d", chosen+1, len(list)), screen.Quiet)
	}
}

// drawPlace draws what a start from p would do; nil: no place is chosen.
func (m *Screen) drawPlace(c *screen.Canvas, r screen.Rectangle, p *reentry.Proposal, known bool) {
	h := &m.hand.places
	text := screen.Rect(r.X, r.Y, r.W, r.H-2)
	out := c.Paragraph(text)
	if h.typed != "" {
		out.Write("by hand: "+h.typed+"_", screen.Dialog)
	}
	switch {
	case p == nil:
		out.Write("no such place in the music: m:ss.mmm", screen.Caution)
	default:
		at := timebase.ClockMillis(p.At)
		head := fmt.Sprintf("music from %s, cues from %s: %s", timebase.ClockMillis(p.Start.At(m.Plan.Rate)), at, words.Count(p.Fires, "cue"))
		if p.Fires > 0 {
			head += fmt.Sprintf(", first in %.1f s", p.First.At(m.Plan.Rate).Seconds())
		}
		out.Write(head, screen.Strong)
		if len(p.Codes) > 0 {
			out.Write("timecode there "+strings.Join(p.Codes, ", "), screen.Normal)
		}
		if p.Torn != "" {
			out.Write("starts inside "+p.Torn, screen.Alarm)
		}
		if len(p.Skipped) > 0 {
			m.writeLoaded(out, p.Skipped, "stay loaded, treat as live")
		}
	}
	if !known {
		c.Right(r.X+r.W, r.Y+r.H-3, "still listening for changes of the music", screen.Quiet)
	}
	runUp, keys := m.placeHints(r.W)
	c.Text(r.X, r.Y+r.H-2, r.W, runUp, screen.Normal)
	c.Text(r.X, r.Y+r.H-1, r.W, keys, screen.KeyName)
}

// placeHints are what the keys of the list do, in so many columns: those that change the
// run-up and come to a time by hand, and those that choose and arm.
func (m *Screen) placeHints(room int) (runUp, keys string) {
	k := m.Keys.Name
	s, change := int(m.hand.places.runUpNow().Seconds()), k(actZoomIn)+" "+k(actZoomOut)
	hand := k(actEarlier) + " " + k(actLater)
	if m.typesTimes() {
		hand = "type it, or " + hand
	}
	runUp = m.firstFit(room, fmt.Sprintf("run-up %d s of music alone: %s change it; a time by hand: %s", s, change, hand),
		fmt.Sprintf("run-up %d s: %s change it; a time by hand: %s", s, change, hand),
		fmt.Sprintf("run-up %d s: %s; by hand: %s", s, change, hand))
	keys = m.firstFit(room, fmt.Sprintf("%s %s choose   %s ARMS from there, %s then starts   esc goes back", k(actLaneUp), k(actLaneDown), k(actArm), k(actGo)),
		fmt.Sprintf("%s %s choose; %s ARMS there, %s then starts; esc goes back", k(actLaneUp), k(actLaneDown), k(actArm), k(actGo)))
	return runUp, keys
}

// writeLoaded writes how many cues stay loaded and which, as many as there is room for.
func (m *Screen) writeLoaded(p *screen.Paragraph, list []int, what string) {
	head := fmt.Sprintf("%d %s", len(list), what)
	rows, columns := min(p.Left.H, 4), min(p.Left.W, 76)
	named := reentry.NamedWithin(list, m.planID, func(text string) bool { return len(screen.Wrap(head+": "+text, columns)) <= rows })
	if named != "" {
		head += ": " + named
	}
	p.Write(head, screen.Alarm)
}

func (m *Screen) planID(i int) string { return m.cue(i).ID }
