package console

import (
	"fmt"

	"drylane/show"
	"drylane/tui/screen"
)

// An closingView is what the console shows of a run that is over.
type closingView struct {
	ended     bool  // it has been seen that the run ended
	positions int   // of the list: the rows of the table of the search
	top       int   // the first of them in sight
	page      int   // how many there were room for
	loaded    []int // what is still loaded, used again for each picture
}

// afterKeys are the keys of the bottom line once the show was made safe: who goes in and
// who is asked again, and what can be said of a run and from where it goes on.
func (m *Screen) afterKeys() []bottomKey {
	keys := []bottomKey{{actArm, "ARM"}}
	if m.snap.Safe != nil {
		keys = append(keys, bottomKey{actRepair, "in or back"})
	}
	if m.snap.Ready != nil {
		keys = append(keys, bottomKey{actField, "go / no-go"})
	} else if m.snap.Field != nil {
		keys = append(keys, bottomKey{actField, "field board"})
	}
	if m.ran() {
		keys = append(keys, bottomKey{actPlaces, "places"}, bottomKey{actSeen, "seen"}, bottomKey{actSearch, "search"})
	}
	return append(keys, bottomKey{screen.ActHelp, "help"}, bottomKey{screen.ActQuit, "quit"}, bottomKey{ActCheck, "sound check"},
		bottomKey{ActCalibrate, "calibrate"}, bottomKey{actZoomAll, "whole show"})
}

// followEnd brings the table of the search once a run has ended.
func (m *Screen) followEnd() {
	ended := m.snap.Transport.State() == show.Ended
	if ended && !m.closing.ended {
		m.settle(func(h *hand) { h.search = true })
		m.catchUp()
	}
	m.closing.ended = ended
}

// searchUp reports whether the table of the search stands in the lanes' place.
func (m *Screen) searchUp() bool { return m.hand.search && m.ran() }

// afterHint says what can be done after a run.
func (m *Screen) afterHint() string {
	k := m.Keys.Name
	if m.snap.Transport.State() == show.Ended {
		return fmt.Sprintf("%s makes it safe, %s: what was seen; sheet: drylane closeout last", k(actGo), k(actSeen))
	}
	return fmt.Sprintf("%s arms from the top, %s starts again from a place in the music", k(actArm), k(actPlaces))
}

// turn shows the next positions of the table, or those before.
func (v *closingView) turn(on bool) {
	step := max(1, v.page)
	if !on {
		step = -step
	}
	v.top = max(0, min(v.top+step, v.positions-v.page))
}

// A searchRow is what a position was commanded, and what is known of it.
type searchRow struct {
	name                                             string
	commanded, seen, dud, nobody, skipped, stillLive int
}

// add counts cue i.
func (r *searchRow) add(t *show.Transport, said show.Sayings, i int) {
	if !t.Fired(i) {
		r.stillLive++
		if i < t.Next() && !t.Out(i) {
			r.skipped++
		}
		return
	}
	r.commanded++
	switch said.Of(i) {
	case show.SeenOrHeard:
		r.seen++
	case show.DidNotGo:
		r.dud++
	default:
		r.nobody++
	}
}

// searchRows are the positions in the order of the list, and the sum last. It is drawn
// with every picture: a look at each cue is all that it takes.
func (m *Screen) searchRows() []searchRow {
	lanes := m.byPosition()
	rows := make([]searchRow, 0, len(lanes.names)+1)
	rowOf := make([]int, len(lanes.names)) // one more than the index; 0: not met yet
	all := searchRow{name: "all"}
	for i, lane := range lanes.of {
		if rowOf[lane] == 0 {
			rows = append(rows, searchRow{name: m.cue(i).Position})
			rowOf[lane] = len(rows)
		}
		rows[rowOf[lane]-1].add(&m.snap.Transport, m.snap.Said, i)
		all.add(&m.snap.Transport, m.snap.Said, i)
	}
	return append(rows, all)
}

// drawSearch draws, for each position, what was commanded, what somebody says of it, and
// what is still loaded; the sum stands in the heading.
func (m *Screen) drawSearch(c *screen.Canvas) {
	rows := m.searchRows()
	all := rows[len(rows)-1]
	rows = rows[:len(rows)-1]
	r := screen.Rect(0, m.lay.wave.Y, c.W, m.lay.axis.Y+1-m.lay.wave.Y)
	r = c.Heading(r, fmt.Sprintf("search: %d commanded, %d did not go, %d %s", all.commanded, all.dud, all.stillLive, stillLoaded))
	searchLine(c, r, screen.Quiet, "position", "commanded", "seen/heard", "did not go", "nobody said", "skipped", "still loaded")
	v := &m.closing
	v.page = max(0, min(len(rows), r.H-1))
	if len(rows) > r.H-1 { // the last line counts the others
		v.page = max(0, r.H-2)
	}
	v.top = max(0, min(v.top, len(rows)-v.page))
	if n := len(rows) - v.page; n > 0 && r.H > 1 {
		k := m.Keys.Name
		c.Text(r.X, r.Y+v.page+1, r.W, fmt.Sprintf("%d more: %d above (%s), %d below (%s)", n, v.top, k(actScrollBack), n-v.top, k(actScrollOn)), screen.Caution)
	}
	for _, row := range rows[v.top : v.top+v.page] {
		r.Y++
		style := screen.Normal
		if row.dud+row.stillLive > 0 {
			style = screen.Strong
		}
		var cells []string
		for _, n := range [...]int{row.commanded, row.seen, row.dud, row.nobody, row.skipped, row.stillLive} {
			cells = append(cells, fmt.Sprint(n))
		}
		searchLine(c, r, style, row.name, cells...)
	}
}

// searchLine draws a line of the table; what is none is a point.
func searchLine(c *screen.Canvas, r screen.Rectangle, style screen.Style, name string, cells ...string) {
	c.Text(r.X, r.Y, 14, name, style)
	for k, s := range cells {
		if s == "0" {
			c.Right(r.X+searchEnds[k], r.Y, "·", screen.Faint)
			continue
		}
		c.Right(r.X+searchEnds[k], r.Y, s, style)
	}
}

// searchEnds are the right ends of the table's columns.
var searchEnds = [...]int{23, 34, 45, 57, 65, 78}
