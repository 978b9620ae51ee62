package console

import (
	"slices"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/ready"
	"drylane/tui/screen"
)

// takeReady takes the keys of the go / no-go list, which stands in the lanes' place while
// the show is safe, and of who is in the field. ok is false for a key that is for
// something else.
func (m *Screen) takeReady(h *hand, p pressed, at time.Time) (ok bool) {
	switch h.mode {
	case noGoMode:
		m.nameReason(h, p, at)
		return true
	case peopleMode:
		m.movePerson(h, p, at)
		return true
	case runMode:
	default:
		return false
	}
	s := m.Run.Snapshot()
	if s.Transport.State() != show.Safe {
		return false
	}
	switch p.act {
	case actField:
		h.turnFace(s)
	case actRepair:
		if h.onBoard && s.Field != nil || s.Safe == nil { // there it is for the chosen device
			return false
		}
		h.mode, h.pick = peopleMode, -1
		h.people = m.people(s.Safe)
	case actTick, actFollow:
		if s.Ready == nil || p.act == actFollow && !h.listUp(s) {
			return false
		}
		m.answer(h, p.act, s.Ready, at)
	case actLaneUp, actLaneDown:
		if !h.listUp(s) {
			return false
		}
		h.moveAsked(s.Ready, p.act == actLaneDown)
	default:
		return false
	}
	return true
}

// turnFace puts the next thing into the lanes' place: the field board, the go / no-go
// list, the lanes, as far as there are such.
func (h *hand) turnFace(s *deck.Snapshot) {
	board, list := s.Field != nil, s.Ready != nil
	switch {
	case board && h.onBoard:
		h.onBoard, h.onReady = false, list
	case list && h.onReady:
		h.onReady = false
	default:
		h.onBoard, h.onReady = board, list
	}
}

// listUp reports whether the list stands in the lanes' place.
func (h *hand) listUp(s *deck.Snapshot) bool {
	return h.onReady && s.Ready != nil && !(h.onBoard && s.Field != nil) && s.Transport.State() == show.Safe
}

// answer takes an answer of the chosen line. Nobody answers unseen: where the list is not
// there, it comes first.
func (m *Screen) answer(h *hand, a screen.Act, list *ready.List, at time.Time) {
	switch i := askedLine(list, h.asked); {
	case !h.listUp(m.Run.Snapshot()):
		h.onBoard, h.onReady = false, true
	case i < 0:
	case a == actFollow:
		h.mode, h.pick, h.asked = noGoMode, -1, list.Lines()[i].Who
	default:
		m.Run.Do(show.ScriptAction{Kind: show.KindAnswer, Answer: show.AnswerGo, Text: quoted(list.Lines()[i].Who)}, at)
		h.asked = ""
	}
}

// quoted is a name as the list finds it, also where another begins with it.
func quoted(who string) string {
	if strings.Contains(who, `"`) {
		return who
	}
	return `"` + who + `"`
}

// askedLine is the chosen line: that of the name, or the next to answer; the last while
// all are go, and -1 where nobody is asked.
func askedLine(list *ready.List, name string) int {
	if list == nil {
		return -1
	}
	if i := slices.IndexFunc(list.Lines(), func(l ready.Line) bool { return l.Who == name }); i >= 0 {
		return i
	}
	if i := list.Next(); i >= 0 {
		return i
	}
	return len(list.Lines()) - 1
}

// moveAsked chooses the line below, or above.
func (h *hand) moveAsked(list *ready.List, down bool) {
	i := askedLine(list, h.asked) - 1
	if down {
		i += 2
	}
	if lines := list.Lines(); i >= 0 && i < len(lines) {
		h.asked = lines[i].Who
	}
}

// digit is the digit of a key; ok is false for any other.
func digit(key string) (n int, ok bool) {
	if len(key) != 1 || key[0] < '0' || key[0] > '9' {
		return 0, false
	}
	return int(key[0] - '0'), true
}

// nameReason takes the reason of a no-go by its digit, 0 withdraws the answer; any other
// key takes the list of them away.
func (m *Screen) nameReason(h *hand, p pressed, at time.Time) {
	reasons := ready.Reasons()
	n, ok := h.choose(p, 0, len(reasons)+1)
	switch {
	case h.mode == noGoMode: // another line is marked
		return
	case !ok:
		m.always(p.act, at)
	case n == 0:
		m.Run.Do(show.ScriptAction{Kind: show.KindAnswer, Text: quoted(h.asked)}, at)
	case n > 0:
		m.Run.Do(show.ScriptAction{Kind: show.KindAnswer, Answer: show.AnswerNoGo, Text: quoted(h.asked) + " " + reasons[n-1]}, at)
	}
	h.asked = ""
}

// people are who may go into the field, by their digits: first the crew, then whoever
// else has gone in, so that a digit means the same name for the whole run.
func (m *Screen) people(s *deck.SafeNow) []string {
	crew := m.crew()
	names := slices.Clone(crew[:min(len(crew), mostPeople)])
	for _, v := range s.Book.Visits() {
		if !slices.ContainsFunc(names, func(name string) bool { return strings.EqualFold(name, v.Name) }) {
			names = append(names, v.Name)
		}
	}
	return names
}

// mostPeople is how many people have a digit; a script can name any others, and who is
// in without one is marked by the keys that go up and down.
const mostPeople = 9

// crew are the names of who may be sent.
func (m *Screen) crew() []string {
	if len(m.Crew) > 0 {
		return m.Crew
	}
	return m.Show.InField()
}

// movePerson says by a digit that somebody goes in, or is back; any other key takes the
// list of people away.
func (m *Screen) movePerson(h *hand, p pressed, at time.Time) {
	n, ok := h.choose(p, 1, len(h.people)+1)
	s := m.Run.Snapshot()
	if !ok || s.Safe == nil {
		h.mode = runMode
		m.always(p.act, at)
		return
	}
	if n < 0 {
		return
	}
	who := h.people[n-1] // as they stood when the list came up
	kind := show.KindEnter
	if _, in := s.Safe.Book.Named(who); in {
		kind = show.KindBack
	}
	m.Run.Do(show.ScriptAction{Kind: kind, Text: who}, at)
}

// followReady takes the list away once the show has been armed; its key brings it back
// while the show is safe.
func (m *Screen) followReady() {
	if m.snap.Transport.State() == show.Safe || !m.onReady {
		return
	}
	m.settle(func(h *hand) { h.onReady, h.asked = false, "" })
	m.catchUp()
}
