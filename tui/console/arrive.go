package console

import (
	"time"

	"drylane/show"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A pressed is a key whose meaning has been settled, and which has done to the run
// what it had to do. The screen is to follow.
type pressed struct {
	key      string
	act      screen.Act // that the key table has for it; empty for none
	from, to mode       // what keys were for before it, and after
	marked   bool       // a line of a list was marked before it
}

// A pasted is text for the filter.
type pasted string

// Arrived settles what a key means and does at once what it asks of the run; the
// message tells the screen. It runs in the keys' goroutine and waits for nothing.
func (m *Screen) Arrived(in screen.Input, at time.Time) (msg tea.Msg) {
	m.settle(func(h *hand) {
		switch {
		case in.Paste != "" && h.mode == typeMode:
			msg = pasted(in.Paste)
		case in.Key == "":
			msg = in.Msg(at)
		case h.mode == asideMode:
			msg = screen.KeyMsg{Key: in.Key, At: at, Done: m.stop(m.actOf(in.Key), at)}
		default:
			p := pressed{key: in.Key, act: m.actOf(in.Key), from: h.mode, marked: h.pick >= 0}
			m.take(h, p, at)
			p.to = h.mode
			msg = p
		}
	})
	return msg
}

func (m *Screen) actOf(key string) screen.Act {
	if b := m.Keys.Find(key); b != nil {
		return b.Act
	}
	return ""
}

// take does what a key is for now.
func (m *Screen) take(h *hand, p pressed, at time.Time) {
	switch {
	case h.mode == leftMode:
	case h.mode == typeMode:
		switch {
		case p.act == actHold: // holding works while typing
			m.stop(p.act, at)
		case p.key == "enter", p.key == "tab", p.key == "esc", p.key == "ctrl+c":
			h.mode = runMode
		}
	case p.suspends():
		m.command(show.Command{Action: show.Hold, Cause: show.CauseSuspended}, at)
	case m.takeReady(h, p, at):
	case m.takeField(h, p, at):
	case m.takePlaces(h, p, at):
	case m.takeSeen(h, p, at):
	case h.mode == runMode:
		if !m.always(p.act, at) && !m.ask(h, p.act, at) {
			m.mark(h, p.act)
		}
	case m.swallows(h):
		m.takeOver(h, p, false)
	default:
		m.takeOver(h, p, m.always(p.act, at))
	}
}

// swallows reports whether a key only takes away what lies over a safe show: the
// first words, or a briefing. Nothing that runs can be waiting for it.
func (m *Screen) swallows(h *hand) bool {
	return (h.mode == firstMode || h.mode == briefMode) && m.state() == show.Safe
}

// suspends reports whether a key puts the program to sleep.
func (p pressed) suspends() bool { return p.key == "ctrl+z" && p.from != typeMode }

// takeOver takes the keys of the help, quit and first words. Holding, cutting,
// nudging, tapping and calling work over any of them, and are done by then;
// nothing else does that concerns the run.
func (m *Screen) takeOver(h *hand, p pressed, done bool) {
	switch h.mode {
	case quitMode:
		switch p.key {
		case "y", "delete", "ctrl+c": // whichever a hand, or a glove, can reach
			m.leave(h)
		case "n", "esc", "q":
			h.mode = runMode
		}
	case helpMode:
		if !done && !scrolls(p.key) {
			h.mode = runMode
		}
	case linkMode:
		h.takeLinks(p.act)
	case briefMode:
		if done || !scrolls(p.key) {
			h.mode = runMode
		}
	case firstMode: // a drill's briefing follows
		if h.mode = runMode; m.Brief != nil {
			h.mode = briefMode
		}
		if p.act == screen.ActQuit {
			m.leave(h)
		}
	}
}

func scrolls(key string) bool { return screen.Scrolls(new(int), key) }

// asksToQuit reports whether quitting is asked for twice: the show is neither safe nor
// over, somebody is in the field, or nobody may go in yet. A drill that is over is only
// to be read.
func (m *Screen) asksToQuit(at time.Time) bool {
	s := m.Run.Snapshot()
	state := s.Transport.State()
	switch {
	case state != show.Safe && state != show.Ended:
		return true
	case s.Over:
		return false
	case s.Field != nil && len(s.Field.Board.Out(at.Sub(s.Field.Opened))) > 0:
		return true
	}
	return s.Safe != nil && (len(s.Safe.Book.In()) > 0 || state == show.Safe && s.Safe.Book.Left(at) > 0)
}

// leave ends the run.
func (m *Screen) leave(h *hand) {
	h.mode = leftMode
	m.Run.Quit()
}

// ask does an act that the run or another screen is asked for. ok is false for all
// others.
func (m *Screen) ask(h *hand, a screen.Act, at time.Time) (ok bool) {
	switch a {
	case actArm:
		m.command(m.arming(h, at), at)
	case actGo:
		m.Run.Do(show.ScriptAction{Kind: show.KindGo}, at)
	case actTick:
		m.Run.Do(show.ScriptAction{Kind: show.KindTick}, at)
	case actDown, actBack:
		if g := m.groupOf(h.set, h.lane); g >= 0 {
			m.standDown(a == actDown, g, at)
		}
	case actStrike:
		m.strikeOff(at)
	case actLinks:
		if m.openLinks(h) {
			m.turn(h, linkMode, at)
		}
	case actSilent:
		if m.Run.Snapshot().Lost {
			m.Run.Do(show.ScriptAction{Kind: show.KindSilent}, at)
		}
	case screen.ActHelp:
		if !m.inLines { // there nothing lies over what keys are for
			m.turn(h, helpMode, at)
		}
	case actFilter:
		m.turn(h, typeMode, at)
	case actBriefing:
		if m.Brief != nil {
			m.turn(h, briefMode, at)
		}
	case screen.ActQuit:
		if m.asksToQuit(at) {
			m.turn(h, quitMode, at)
		} else {
			m.leave(h)
		}
	case actPlaces:
		m.openPlaces(h)
	case actSeen:
		m.openSeen(h, at)
	case actSearch:
		h.search = !h.search
	case ActCheck, ActCalibrate:
		if m.Aside != nil && m.state() == show.Safe {
			h.mode = asideMode
		}
	default:
		return false
	}
	return true
}

// turn makes keys be for something else; what is held stays held meanwhile.
func (m *Screen) turn(h *hand, to mode, at time.Time) {
	h.mode = to
	m.Run.Do(show.ScriptAction{Kind: show.KindStay}, at)
}

// state is the run's, as it is now.
func (m *Screen) state() show.State { return m.Run.Snapshot().Transport.State() }
