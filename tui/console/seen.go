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
	h.mode, h.pick, h.said = seenMode, -1, m.commandedBefore(h, m.Run.Snapshot(), len(m.Plan.Cues), at)
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
	answer := 0
	if m.answersByDigit() {
		answer, _ = digit(p.key)
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
	case p.act == actPanel:
		h.pick = max(h.pick, 0)%(2*len(saws)) + 1
	case p.act == actGo: // never the run's while this is open, however often it is pressed
		if h.pick > 0 {
			m.sayOf(h, h.pick, at)
			h.pick = -1
		}
	case answer >= 1 && answer <= 2*len(saws):
		m.sayOf(h, answer, at)
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

// answersByDigit reports whether digits answer: not where the key map has others uses for
// one of them. An answer is marked and said by two keys in any map.
func (m *Screen) answersByDigit() bool { return m.digitsFree('1', '6') }

// sayOf says of the chosen cue, or of its position, the answer with that number.
func (m *Screen) sayOf(h *hand, answer int, at time.Time) {
	if h.said < 0 {
		return
	}
	a := show.ScriptAction{Kind: show.KindSaw, Saw: saws[(answer-1)%len(saws)], Text: m.cue(h.said).ID}
	if answer > len(saws) {
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
		c.Text(r.X, r.Y+r.H-1, r.W, fmt.Sprintf("%s %s another lane; esc goes back", m.Keys.Name(actLaneUp), m.Keys.Name(actLaneDown)), screen.Quiet)
		return
	}
	cue := m.cue(i)
	x := c.Text(r.X, r.Y, r.W, fmt.Sprintf("cue %s %s: ", cue.ID, cue.Position), screen.Strong)
	c.Text(x, r.Y, r.X+r.W-x, m.snap.Said.Of(i).String(), screen.Strong)
	c.Text(r.X, r.Y+1, r.W, effectText(cue), screen.Normal)
	c.Text(r.X, r.Y+2, r.W, saidBy(m.snap.Said, i), screen.Quiet)
	for k, saw := range saws {
		m.drawSaw(c, screen.Rect(r.X, r.Y+3+k, 22, 1), k+1, saw.String())
		m.drawSaw(c, screen.Rect(r.X+24, r.Y+3+k, r.W-24, 1), k+1+len(saws), "the same of all at "+cue.Position+" so far")
	}
	c.Text(r.X, r.Y+r.H-3, r.W, "Of a position: what nobody has said anything of by itself.", screen.Quiet)
	k := m.Keys.Name
	by := fmt.Sprintf("%s marks an answer, %s says it", k(actPanel), k(actGo))
	if m.answersByDigit() {
		by = "a digit says it, or " + by
	}
	c.Text(r.X, r.Y+r.H-2, r.W, by, screen.Quiet)
	c.Text(r.X, r.Y+r.H-1, r.W, fmt.Sprintf("%s %s another cue, %s %s another lane; esc goes back", k(actCuePrev), k(actCueNext), k(actLaneUp), k(actLaneDown)), screen.Quiet)
}

// drawSaw draws an answer with its number, where that is a key.
func (m *Screen) drawSaw(c *screen.Canvas, r screen.Rectangle, n int, text string) {
	m.drawPick(c, r.X-1, r.Y, n)
	if m.answersByDigit() {
		c.Text(r.X, r.Y, 2, fmt.Sprint(n), screen.KeyName)
	}
	c.Text(r.X+3, r.Y, r.W-3, text, screen.Normal)
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
