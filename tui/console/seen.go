package console

import (
	"fmt"
	"slices"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/tui/screen"
)

// openSeen asks what was seen or heard of the last cue commanded in the marked lane
// whose effect is due by now.
func (m *Screen) openSeen(h *hand, at time.Time) {
	h.mode, h.said = seenMode, m.commandedBefore(h, m.Run.Snapshot(), len(m.Plan.Cues), at)
}

// commandedBefore is the last cue of the marked lane before i that has been commanded and
// whose effect is due, -1 for none.
func (m *Screen) commandedBefore(h *hand, s *deck.Snapshot, i int, at time.Time) int {
	for i--; i >= 0; i-- {
		if m.commanded(h, s, i, at) {
			return i
		}
	}
	return -1
}

// commandedAfter is the first such cue after i, i itself where there is none.
func (m *Screen) commandedAfter(h *hand, s *deck.Snapshot, i int, at time.Time) int {
	for k := i + 1; k < len(m.Plan.Cues); k++ {
		if m.commanded(h, s, k, at) {
			return k
		}
	}
	return i
}

func (m *Screen) commanded(h *hand, s *deck.Snapshot, i int, at time.Time) bool {
	t := &s.Transport
	return int(m.sets[h.set].of[i]) == h.lane && t.Fired(i) && (t.Out(i) || t.State() != show.Running || t.EffectAt(i) <= s.HeardAt(at))
}

// saws are what can be said, by their digits: of the cue, and then of its position.
var saws = []show.Saw{show.SeenOrHeard, show.DidNotGo, show.NobodySaid}

// takeSeen takes the keys of the question. ok is false for a key that is for something
// else.
func (m *Screen) takeSeen(h *hand, p pressed, at time.Time) (ok bool) {
	if h.mode != seenMode {
		return false
	}
	s := m.Run.Snapshot()
	digit := 0
	if len(p.key) == 1 {
		digit = int(p.key[0] - '0')
	}
	switch {
	case p.act == actCuePrev:
		if i := m.commandedBefore(h, s, h.said, at); i >= 0 {
			h.said = i
		}
	case p.act == actCueNext:
		h.said = m.commandedAfter(h, s, h.said, at)
	case p.act == actLaneUp, p.act == actLaneDown:
		h.moveLane(p.act == actLaneDown)
		h.said = m.commandedBefore(h, s, len(m.Plan.Cues), at)
	case digit >= 1 && digit <= 2*len(saws):
		m.sayOf(h, digit, at)
		if st := s.Transport.State(); st != show.Safe && st != show.Ended { // the lanes are wanted
			h.mode = runMode
		}
	default:
		if !m.always(p.act, at) {
			h.mode = runMode
		}
	}
	return true
}

// sayOf says of the chosen cue, or of its position, what a digit stands for.
func (m *Screen) sayOf(h *hand, digit int, at time.Time) {
	if h.said < 0 {
		return
	}
	a := show.ScriptAction{Kind: show.KindSaw, Saw: saws[(digit-1)%len(saws)], Text: m.cue(h.said).ID}
	if digit > len(saws) {
		a.Text, a.Command.Group = "", show.Group{By: show.LanesByPosition, Name: m.cue(h.said).Position}
	}
	m.Run.Do(a, at)
}

// drawSeen asks the question.
func (m *Screen) drawSeen(c *screen.Canvas) {
	// What is up, and what comes next, stays in sight.
	r := c.BoxIn(screen.Rect(0, m.lay.wave.Y, c.W, m.lay.message.Y-m.lay.wave.Y), 74, 12, "what was seen or heard?")
	i := m.hand.said
	if i < 0 {
		c.Text(r.X, r.Y, r.W, "nothing was commanded in this lane yet", screen.Quiet)
		c.Text(r.X, r.Y+r.H-1, r.W, "↑ ↓ another lane; any other key goes back", screen.Quiet)
		return
	}
	cue := m.cue(i)
	x := c.Text(r.X, r.Y, r.W, fmt.Sprintf("cue %s %s: ", cue.ID, cue.Position), screen.Strong)
	c.Text(x, r.Y, r.X+r.W-x, m.snap.Said.Of(i).String(), screen.Strong)
	c.Text(r.X, r.Y+1, r.W, effectText(cue), screen.Normal)
	c.Text(r.X, r.Y+2, r.W, saidBy(m.snap.Said, i), screen.Quiet)
	for k, saw := range saws {
		c.Text(r.X, r.Y+3+k, 2, fmt.Sprint(k+1), screen.KeyName)
		c.Text(r.X+3, r.Y+3+k, r.W-3, saw.String(), screen.Normal)
		c.Text(r.X+24, r.Y+3+k, 2, fmt.Sprint(k+1+len(saws)), screen.KeyName)
		c.Text(r.X+27, r.Y+3+k, r.W-27, "the same of all at "+cue.Position+" so far", screen.Normal)
	}
	c.Text(r.X, r.Y+r.H-3, r.W, "Of a position: what nobody has said anything of by itself.", screen.Quiet)
	k := m.Keys.Name
	c.Text(r.X, r.Y+r.H-1, r.W, fmt.Sprintf("a digit says it; %s %s another cue, ↑ ↓ another lane; esc goes back", k(actCuePrev), k(actCueNext)), screen.Quiet)
}

// saidBy tells who of the crew says what is said of a cue; nothing where it was said at
// the console alone. However many say it, it is one line.
func saidBy(said show.Sayings, i int) string {
	who := slices.DeleteFunc(said.Who(i, said.Of(i)), func(by string) bool { return by == "" })
	switch len(who) {
	case 0:
		return ""
	case 1:
		return "by " + show.Clean(who[0])
	}
	return fmt.Sprintf("by %s and %d more", show.Clean(who[0]), len(who)-1)
}
