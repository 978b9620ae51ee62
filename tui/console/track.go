package console

import (
	"sort"
	"strconv"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// What a half column of a track holds.
const (
	hasLead byte = 1 << iota
	hasBurn
	hasBurst
	hasIgnite
	hasDown
	isOver // all that the half column holds is over
	isLive // an effect in it is up now
)

// A raster is the lanes of the visible stretch of show in half columns. Its
// cost depends on the cues in sight, not on the length of the list.
type raster struct {
	cols, rows int
	half       []byte   // rows x 2*cols
	bursts     []uint16 // rows x cols: effects in the column
	cue        []int32  // rows x cols: the last cue with a mark in the column, -1 for none

	// Each lane takes tall rows; its cues go to them in turn, by their number
	// in the lane, so that neighbours do not hide each other.
	tall int
}

func (r *raster) reset(cols, rows, tall int) {
	r.cols, r.rows, r.tall = cols, rows, tall
	if n := cols * rows; cap(r.bursts) < n {
		r.half, r.bursts, r.cue = make([]byte, 2*n), make([]uint16, n), make([]int32, n)
	}
	n := cols * rows
	r.half, r.bursts, r.cue = r.half[:2*n], r.bursts[:n], r.cue[:n]
	clear(r.half)
	clear(r.bursts)
	for i := range r.cue {
		r.cue[i] = -1
	}
}

// A window is the stretch of show on the screen: half column 0 begins at
// frame first*step, and each is step frames wide. Counting in whole steps keeps
// the cues still against each other while the picture moves.
type window struct {
	first int64
	step  int64
	halfs int
}

func (w window) from() timebase.Frame { return timebase.Frame(w.first * w.step) }
func (w window) to() timebase.Frame   { return timebase.Frame((w.first + int64(w.halfs)) * w.step) }

// col returns the half column of frame f; it may lie outside of the window.
func (w window) col(f timebase.Frame) int {
	k := int64(f) / w.step
	if f < 0 && int64(f)%w.step != 0 {
		k--
	}
	return int(k - w.first)
}

// windowAt places a window of span frames over cols columns so that frame at
// stands in half column pin.
func windowAt(at timebase.Frame, span timebase.Frame, cols, pin int) window {
	w := window{step: max(1, int64(span)/int64(2*cols)), halfs: 2 * cols}
	w.first = int64(w.col(at)) - int64(pin)
	return w
}

// draw fills the raster with the cues of t that are in the window. row maps a
// lane to its first row, or -1; match, if not nil, says which cues show.
func (r *raster) draw(t *show.Transport, now timebase.Frame, w window, set *laneSet, row []int16, match []bool) {
	plan := t.Plan()
	n := len(plan.Cues)
	start := w.from() - plan.MaxLife
	// Cues fire in list order, so the first in sight can be searched for.
	i := sort.Search(n, func(i int) bool { return t.FiresAt(i) >= start })
	for ; i < n; i++ {
		fires := t.FiresAt(i)
		if fires > w.to() {
			break
		}
		y := int(row[set.of[i]])
		if y < 0 {
			continue
		}
		if y += int(set.turn[i]) % r.tall; y >= r.rows || match != nil && !match[i] {
			continue
		}
		r.drawCue(t, i, y, fires, now, w)
	}
}

func (r *raster) drawCue(t *show.Transport, i, y int, fires, now timebase.Frame, w window) {
	effect, clear := t.EffectAt(i), t.ClearAt(i)
	var state byte
	switch {
	case t.Down(i):
		state = hasDown
	case clear <= now && effect < now:
		state = isOver
	case effect <= now && now < clear:
		state = isLive
	}
	line := r.half[y*2*r.cols : (y+1)*2*r.cols]
	mark := func(col int, what byte) {
		if col >= 0 && col < len(line) {
			if state != isOver {
				line[col] &^= isOver
			}
			line[col] |= what | state
			r.cue[y*r.cols+col/2] = int32(i)
		}
	}
	from, burst, to := w.col(fires), w.col(effect), w.col(clear)
	for x := max(0, burst+1); x <= min(to, len(line)-1); x++ {
		r.spread(line, x, hasBurn|state)
	}
	for x := max(0, from+1); x < min(burst, len(line)); x++ {
		r.spread(line, x, hasLead|state&^isLive)
	}
	if burst-from > 1 {
		mark(from, hasIgnite)
	}
	mark(burst, hasBurst)
	if burst >= 0 && burst < len(line) {
		r.bursts[y*r.cols+burst/2]++
	}
}

// spread lays a run into a half column without hiding a live one under an old.
func (r *raster) spread(line []byte, x int, what byte) {
	if what&isOver != 0 && line[x] != 0 {
		what &^= isOver
	} else if what&isOver == 0 {
		line[x] &^= isOver
	}
	line[x] |= what
}

// put draws one row of the raster at x, y.
func (r *raster) put(c *screen.Canvas, x, y, row int) {
	line := r.half[row*2*r.cols : (row+1)*2*r.cols]
	counts := r.bursts[row*r.cols : (row+1)*r.cols]
	for col := range r.cols {
		ch, style := glyph(line[2*col], line[2*col+1], counts[col])
		if ch != ' ' {
			c.Set(x+col, y, ch, style)
		}
	}
	r.putBlocks(c, x, y, counts)
}

// glyph is how one column looks.
func glyph(a, b byte, bursts uint16) (rune, screen.Style) {
	both := a | b
	switch {
	case both == 0:
		return ' ', screen.Normal
	case both&hasDown != 0 && both&hasBurst != 0:
		return '×', screen.DownMark
	case both&hasDown != 0:
		return '·', screen.DownMark
	case bursts > 9:
		return '+', screen.Count
	case bursts > 1:
		return rune('0' + bursts), countStyle(both)
	case both&hasBurst != 0:
		return halfBlock(a&hasBurst != 0, b&hasBurst != 0), markStyle(both, screen.Burst)
	case both&hasIgnite != 0:
		return pick(both&isOver != 0, '▹', '▸'), markStyle(both&^isLive, screen.Ignite)
	case both&hasLead != 0:
		return halfLine(a&hasLead != 0, b&hasLead != 0), markStyle(both&^isLive, screen.Lead)
	default:
		return '░', markStyle(both&^isLive, screen.Burning)
	}
}

func countStyle(both byte) screen.Style {
	if both&isOver != 0 {
		return screen.Gone
	}
	return screen.Count
}

func markStyle(both byte, style screen.Style) screen.Style {
	switch {
	case both&isLive != 0:
		return screen.Live
	case both&isOver != 0:
		return screen.Gone
	}
	return style
}

func pick(yes bool, a, b rune) rune {
	if yes {
		return a
	}
	return b
}

func halfBlock(left, right bool) rune {
	switch {
	case left && right:
		return '█'
	case left:
		return '▌'
	}
	return '▐'
}

func halfLine(left, right bool) rune {
	switch {
	case left && right:
		return '─'
	case left:
		return '╴'
	}
	return '╶'
}

// putBlocks draws a stretch of at least minBlock columns, each with an effect
// and more than half of them with several, as one block with its count.
func (r *raster) putBlocks(c *screen.Canvas, x, y int, counts []uint16) {
	const minBlock = 4
	for from := 0; from < len(counts); {
		to, total := from, 0
		for to < len(counts) && counts[to] > 0 {
			total += int(counts[to])
			to++
		}
		if n := to - from; n >= minBlock && 2*total >= 3*n {
			style := c.At(x+from, y).Style
			if style != screen.Gone && style != screen.DownMark {
				style = screen.Count
			}
			for col := from; col < to; col++ {
				c.Set(x+col, y, '▒', style)
			}
			label := strconv.Itoa(total)
			c.Text(x+from+(n-len(label))/2, y, len(label), label, style)
		}
		from = max(to, from+1)
	}
}
