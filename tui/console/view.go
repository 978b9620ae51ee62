package console

import (
	"slices"

	"drylane/show/timebase"
	"drylane/tui/screen"
)

// changeView does the acts that only change what is in sight.
func (m *Screen) changeView(a screen.Act) {
	switch a {
	case actCuePrev, actCueNext:
		m.moveCursor(a == actCueNext)
	case actDoubt:
		m.nextDoubt()
	case actZoomIn:
		m.zoomTo(m.zoom - 1)
	case actZoomOut:
		m.zoomTo(m.zoom + 1)
	case actZoomAll:
		if m.zoom == len(zooms) {
			m.zoom = 2
		} else {
			m.zoom = len(zooms)
		}
		m.follow = true
	case actScrollBack, actScrollOn:
		if m.searchUp() && !m.boardUp() && !m.readyUp() {
			m.closing.turn(a == actScrollOn)
		} else {
			m.scroll(a == actScrollOn)
		}
	case actFollow:
		m.follow = true
	case actPanel:
		m.nextPanel()
	}
}

func (m *Screen) zoomTo(z int) {
	z = max(0, min(len(zooms), z))
	if !m.follow && m.zoom < len(zooms) && z < len(zooms) {
		// The middle of the view stays where it is.
		mid := m.origin + timebase.FrameAt(zooms[m.zoom]/2, m.Plan.Rate)
		m.origin = mid - timebase.FrameAt(zooms[z]/2, m.Plan.Rate)
	}
	m.zoom = z
}

// scroll moves half a view and stops following.
func (m *Screen) scroll(on bool) {
	if m.zoom == len(zooms) {
		return
	}
	w := m.window()
	if m.follow {
		m.origin, m.follow = w.from(), false
	}
	step := timebase.FrameAt(zooms[m.zoom]/2, m.Plan.Rate)
	if !on {
		step = -step
	}
	m.origin = max(-step/2, min(m.origin+step, m.Plan.Length))
	if m.origin < 0 {
		m.origin = 0
	}
}

// moveCursor marks the next or previous cue of the marked lane, starting from
// the next to fire, and brings it into view.
func (m *Screen) moveCursor(on bool) {
	of := m.lanes().of
	i, step := m.cursor, 1
	if i < 0 || int(of[i]) != m.lane {
		i = m.snap.Transport.Next() - 1
		if !on {
			i++
		}
	}
	if !on {
		step = -1
	}
	for i += step; i >= 0 && i < len(of); i += step {
		if int(of[i]) == m.lane && (m.match == nil || m.match[i]) {
			m.cursor = i
			m.choosePanel(panelCue)
			m.reveal(m.snap.Transport.EffectAt(i))
			return
		}
	}
}

// nextDoubt puts the cursor on the next cue that the review doubts, and starts
// again at the first after the last.
func (m *Screen) nextDoubt() {
	if len(m.marks.Doubts) == 0 {
		return
	}
	from := m.cursor
	if from < 0 {
		from = m.snap.Transport.Next() - 1
	}
	k, _ := slices.BinarySearch(m.marks.Doubts, from+1)
	m.cursor = m.marks.Doubts[k%len(m.marks.Doubts)]
	m.choosePanel(panelCue)
	if l := int(m.lanes().of[m.cursor]); !m.folds[l] {
		m.markLane(l)
	}
	m.reveal(m.snap.Transport.EffectAt(m.cursor))
}

// reveal scrolls so that frame f is in sight.
func (m *Screen) reveal(f timebase.Frame) {
	if w := m.window(); m.zoom < len(zooms) && (f < w.from() || f >= w.to()) {
		m.follow = false
		m.origin = max(0, f-timebase.FrameAt(zooms[m.zoom]/2, m.Plan.Rate))
	}
}

// mouse marks the lane and the cue that was pressed, or scrolls.
func (m *Screen) mouse(e screen.MouseMsg) {
	if m.mode != runMode && m.mode != typeMode || !m.canvas.Fits() {
		return
	}
	if m.boardUp() {
		m.pickDevice(e)
		return
	}
	if e.Wheel != 0 {
		if m.lay.tracks.Contains(e.X, e.Y) || m.lay.wave.Contains(e.X, e.Y) {
			m.scroll(e.Wheel > 0)
		}
		return
	}
	inTracks, inLabels := m.lay.tracks.Contains(e.X, e.Y), m.lay.labels.Contains(e.X, e.Y)
	if !inTracks && !inLabels {
		return
	}
	row := e.Y - m.lay.tracks.Y
	for l, r := range m.rows {
		if r < 0 || row < int(r) || row >= int(r)+m.tall() {
			continue
		}
		if inLabels && m.lane == l { // pressing the marked lane's name stands it down, or brings it back
			if g := m.groupOf(m.set, l); g >= 0 {
				m.standDown(!m.snap.Transport.GroupDown(g), g, e.At)
			}
		}
		m.markLane(l)
	}
	if inTracks && row < m.raster.rows {
		m.pickCue(e.X-m.lay.tracks.X, row)
	}
}

// markLane marks a lane of the set in sight, unless another is being looked at by
// now.
func (m *Screen) markLane(l int) {
	m.settle(func(h *hand) {
		if h.set == m.set {
			h.lane = l
		}
	})
	m.catchUp()
}

// pickCue puts the cursor on the cue nearest to a column of a row.
func (m *Screen) pickCue(col, row int) {
	for d := range 4 {
		for _, x := range []int{col - d, col + d} {
			if x < 0 || x >= m.raster.cols {
				continue
			}
			if i := m.raster.cue[row*m.raster.cols+x]; i >= 0 {
				m.cursor = int(i)
				m.choosePanel(panelCue)
				return
			}
		}
	}
}

// placeLanes says which row each lane has.
func (m *Screen) placeLanes() {
	n := len(m.lanes().names)
	if len(m.rows) != n {
		m.rows = make([]int16, n)
	}
	room := m.lay.tracks.H / m.tall()
	place := func() (seen bool) {
		row := -m.first
		for l := range m.rows {
			m.rows[l] = -1
			if m.folds[l] {
				continue
			}
			if row >= 0 && row < room {
				m.rows[l] = int16(row * m.tall())
			}
			row++
		}
		return m.rows[m.lane] >= 0
	}
	if n == 0 || place() {
		return
	}
	// Scroll until the marked lane is in sight.
	above := 0
	for l := range m.lane {
		if !m.folds[l] {
			above++
		}
	}
	if above < m.first {
		m.first = above
	} else {
		m.first = above - room + 1
	}
	place()
}

// tall is how many rows a lane takes.
func (m *Screen) tall() int {
	open := max(1, len(m.lanes().names)-m.folded())
	return max(1, min(3, m.lay.tracks.H/open))
}

// folded counts the folded lanes.
func (m *Screen) folded() (n int) {
	for _, f := range m.folds {
		if f {
			n++
		}
	}
	return n
}
