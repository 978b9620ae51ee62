package console

import (
	"slices"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/board"
	"drylane/tui/screen"
)

// takeField takes the keys of the field board, which stands in the lanes' place while
// the show is safe. ok is false for a key that is for something else.
func (m *Screen) takeField(h *hand, p pressed, at time.Time) (ok bool) {
	if h.mode == faultMode {
		m.nameFault(h, p, at)
		return true
	}
	f := m.openField()
	switch {
	case h.mode != runMode || f == nil:
		return false
	case !h.onBoard:
		return false
	case p.act == actLaneUp, p.act == actLaneDown:
		h.moveDevice(f, p.act == actLaneDown, at)
	case p.act == actGo:
		if h.findDevice(f, at) {
			h.mode, h.pick = faultMode, -1
		}
	case p.act == actRepair:
		if h.findDevice(f, at) {
			m.Run.Do(show.ScriptAction{Kind: show.KindRepair, Text: h.device}, at)
		}
	default:
		return false
	}
	return true
}

// openField is the field board while it can stand on the screen; nil otherwise.
func (m *Screen) openField() *deck.FieldNow {
	s := m.Run.Snapshot()
	if s.Transport.State() != show.Safe {
		return nil
	}
	return s.Field
}

// nameFault marks the chosen device with the fault that is chosen; any other key takes
// the list of them away.
func (m *Screen) nameFault(h *hand, p pressed, at time.Time) {
	f := m.openField()
	if f == nil {
		h.mode = runMode
		m.always(p.act, at)
		return
	}
	list := faultsOf(f, h.device, at)
	n, ok := h.choose(p, 0, len(list))
	switch {
	case !ok:
		m.always(p.act, at)
	case n >= 0:
		m.Run.Do(show.ScriptAction{Kind: show.KindMark, Text: board.MarkText(h.device, list[n])}, at)
	}
}

// faultsOf are the faults that a device can be marked with, by their digits: 0 takes a
// mark back.
func faultsOf(f *deck.FieldNow, device string, at time.Time) []board.Fault {
	rows := f.Board.At(at.Sub(f.Opened))
	i := slices.IndexFunc(rows, func(r board.Row) bool { return r.Name == device })
	if i < 0 {
		return nil
	}
	return append([]board.Fault{board.NoFault}, board.FaultsOf(rows[i].Kind)...)
}

// deviceNames are the names on the board, each once.
func deviceNames(f *deck.FieldNow, at time.Time) []string {
	var names []string
	for _, r := range f.Board.At(at.Sub(f.Opened)) {
		names = append(names, r.Name)
	}
	return slices.Compact(names) // one that answers twice stands in two rows, one under the other
}

// findDevice chooses the first device where none is chosen, or it has gone. ok is
// false when there is none at all.
func (h *hand) findDevice(f *deck.FieldNow, at time.Time) (ok bool) {
	names := deviceNames(f, at)
	if len(names) > 0 && !slices.Contains(names, h.device) {
		h.device = names[0]
	}
	return len(names) > 0
}

// moveDevice chooses the next device, or the one before. The choice is a name, so that
// no device which turns up meanwhile is marked in its place.
func (h *hand) moveDevice(f *deck.FieldNow, down bool, at time.Time) {
	names := deviceNames(f, at)
	i := max(0, slices.Index(names, h.device)) - 1
	if down {
		i += 2
	}
	if i >= 0 && i < len(names) {
		h.device = names[i]
	}
}

// boardUp reports whether the field board stands in the lanes' place in the picture.
func (m *Screen) boardUp() bool {
	return m.onBoard && m.snap.Field != nil && m.snap.Transport.State() == show.Safe
}

// followField takes the board away once the show has been armed; its key brings it
// back while the show is safe.
func (m *Screen) followField() {
	if f := m.snap.Field; f == nil || f.Armed.IsZero() || m.field.left {
		return
	}
	m.field.left = true
	m.settle(func(h *hand) {
		h.onBoard = false
		if h.mode == faultMode {
			h.mode = runMode
		}
	})
	m.catchUp()
}

// pickDevice chooses the device in whose row the mouse was pressed.
func (m *Screen) pickDevice(e screen.MouseMsg) {
	i := e.Y - m.field.first
	if e.Wheel != 0 || i < 0 || i >= m.field.shown {
		return
	}
	name := m.field.rows[m.field.top+i].Name
	m.settle(func(h *hand) { h.device = name })
	m.catchUp()
}
