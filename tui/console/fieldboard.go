package console

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/playback/deck"
	"drylane/show/board"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// A fieldView is the field board as it was last looked at.
type fieldView struct {
	left bool // it has been taken away, because the show was armed
	laid int  // rows that the screen is arranged for in the lanes' place; 0: for the lanes

	of   *deck.FieldNow
	at   time.Time
	rows []board.Row

	top          int // the first row in sight
	first, shown int // where it stands, and how many are in sight
}

// readEvery is how often the rows are worked out anew: a reading changes once a
// second, and who answers by tenths.
const readEvery = 100 * time.Millisecond

// look takes the rows of now.
func (v *fieldView) look(f *deck.FieldNow, now time.Time) {
	if past := now.Sub(v.at); v.of == f && past >= 0 && past < readEvery {
		return
	}
	v.of, v.at, v.rows = f, now, f.Board.At(now.Sub(f.Opened))
}

// arrangeFace gives the board the room of its devices, the go / no-go list that of its
// lines, the table of the search that of its positions, or the lanes theirs again.
func (m *Screen) arrangeFace() {
	rows := 0
	switch {
	case m.boardUp():
		rows = len(m.snap.Field.Board.Field().Devices) + 3
	case m.readyUp():
		rows = len(m.snap.Ready.Lines()) + 1
	case m.searchUp():
		rows = m.closing.positions + 3
	}
	if rows != m.field.laid {
		m.field.laid = rows
		m.arrange()
	}
}

// drawBoard draws the field board where the music and the lanes stand else. It has the
// figures and says nothing of what they mean: that is the trainee's to find.
func (m *Screen) drawBoard(c *screen.Canvas) {
	f, v := m.snap.Field, &m.field
	v.look(f, m.now)
	r := screen.Rect(0, m.lay.wave.Y, c.W, m.lay.axis.Y+1-m.lay.wave.Y)
	r = c.Heading(r, board.CountOf(v.rows).String())
	m.drawOpen(c, r)
	cols := m.columns(r)
	cols.head(c, r.Y)
	rows := screen.Rect(r.X, r.Y+1, r.W, r.H-1)
	v.first = rows.Y
	v.shown = min(len(v.rows), rows.H)
	if len(v.rows) > rows.H { // the last line counts the others
		v.shown = max(0, rows.H-1)
	}
	v.scroll(m.chosen())
	for i, row := range v.rows[v.top : v.top+v.shown] {
		cols.row(c, rows.Y+i, m.texts(&row, cols), v.top+i == m.chosen())
	}
	if n := len(v.rows) - v.shown; n > 0 && rows.H > 0 {
		c.Text(rows.X+1, rows.Y+v.shown, rows.W, fmt.Sprintf("%d more: %d above, %d below", n, v.top, n-v.top), screen.Quiet)
	}
}

// fieldOut are those who are in the field; none without a field board.
func (m *Screen) fieldOut() []board.Somebody {
	f := m.snap.Field
	if f == nil {
		return nil
	}
	return f.Board.Out(m.now.Sub(f.Opened))
}

// drawOpen says, on the heading's line, for how long the board has been open and who
// is out.
func (m *Screen) drawOpen(c *screen.Canvas, r screen.Rectangle) {
	f := m.snap.Field
	since := m.now.Sub(f.Opened)
	said := fmt.Sprintf(" open for %s ", timebase.Clock(since))
	if out := m.fieldOut(); len(out) > 0 {
		said = fmt.Sprintf(" %d out, the last back in %s ", len(out), timebase.ClockUp(out[len(out)-1].Back-since))
	}
	c.Right(r.X+r.W, r.Y-1, said, screen.Heading)
}

// scroll brings the chosen row into sight.
func (v *fieldView) scroll(chosen int) {
	v.top = max(0, min(v.top, chosen, len(v.rows)-v.shown))
	if chosen >= v.top+v.shown {
		v.top = max(0, min(chosen-v.shown+1, len(v.rows)-v.shown))
	}
}

// chosen is the row of the chosen device, the first one while none is chosen.
func (m *Screen) chosen() int {
	return max(0, slices.IndexFunc(m.field.rows, func(r board.Row) bool { return r.Name == m.device }))
}

// A column is one of the board's.
type column struct {
	name  string
	x, w  int
	right bool // figures stand flush right
	rest  bool // it takes what the others leave
}

type columns struct {
	list  []column
	holds int // width of what a device holds
	mark  int // ... and of what the trainee made of it
	edge  screen.Rectangle
}

// columns divides the width: what a device holds takes what the figures leave.
func (m *Screen) columns(r screen.Rectangle) columns {
	name, position, marked := 10, 9, 13
	if r.W >= 110 {
		name, position, marked = 24, 14, 26
	}
	widest := func(most int, of func(board.Row) string) int {
		n := 8
		for i := range m.field.rows {
			n = max(n, m.Width(of(m.field.rows[i])))
		}
		return min(n, most)
	}
	name = widest(name, func(r board.Row) string { return r.Name })
	position = widest(position, func(r board.Row) string { return r.Want.Position })
	cols := columns{edge: r, mark: marked, list: []column{
		{name: "device", w: name}, {name: "position", w: position}, {name: "heard", w: 5}, {name: "dB", w: 3, right: true},
		{name: "charge", w: 6, right: true}, {name: "needs", w: 5, right: true}, {name: "pins or file", rest: true}, {name: "your mark", w: marked},
	}}
	cols.holds = r.W - 1
	for _, x := range cols.list {
		cols.holds -= x.w + 1
	}
	x := r.X + 1
	for i := range cols.list {
		col := &cols.list[i]
		if col.rest {
			col.w = cols.holds
		}
		col.x = x
		x += col.w + 1
	}
	return cols
}

func (l columns) head(c *screen.Canvas, y int) {
	for _, col := range l.list {
		col.text(c, y, col.name, screen.Quiet)
	}
}

func (l columns) row(c *screen.Canvas, y int, texts []string, chosen bool) {
	style := screen.Normal
	if chosen {
		style = screen.Selected
		c.Fill(screen.Rect(l.edge.X, y, l.edge.W, 1), ' ', style)
		c.Set(l.edge.X, y, '▸', style)
	}
	for i, col := range l.list {
		col.text(c, y, texts[i], style)
	}
}

func (col column) text(c *screen.Canvas, y int, s string, style screen.Style) {
	x := col.x
	if col.right {
		x += max(0, col.w-c.Width(s))
	}
	c.Text(x, y, col.x+col.w-x, s, style)
}

// texts are what stands in the columns of a row.
func (m *Screen) texts(r *board.Row, cols columns) []string {
	position, db, charge, needs := r.Want.Position, "-", "-", "-"
	if r.Heard {
		position = r.Reading.Position
		db, charge = fmt.Sprintf("%.0f", r.SignalDB), percent(r.Charge)
	}
	if r.Planned {
		needs = percent(r.Needs)
	}
	return []string{r.Name, position, heardWord(r), db, charge, needs, m.holds(r, cols.holds), m.markText(r, cols.mark)}
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// heardWord says whether a device answers now.
func heardWord(r *board.Row) string {
	switch {
	case r.Answers:
		return "yes"
	case r.Heard:
		return "no"
	}
	return "never"
}

// holds says what a device has in it, in so much room: the pins with a match of those
// that the list needs, or the file.
func (m *Screen) holds(r *board.Row, room int) string {
	if r.Kind == board.Player {
		return m.fileText(r, room)
	}
	pins := ""
	if room > 24 {
		pins = " pins"
	}
	if !r.Heard {
		return fmt.Sprintf("- of %d%s", len(r.Want.Pins), pins)
	}
	without, also := less(r.Want.Pins, r.Reading.Pins), less(r.Reading.Pins, r.Want.Pins)
	text := fmt.Sprintf("%d of %d%s", len(r.Want.Pins)-len(without), len(r.Want.Pins), pins)
	if len(without) > 0 {
		text += ", not " + pinText(without)
	}
	if len(also) > 0 {
		text += ", and " + pinText(also)
	}
	return text
}

// fileText is the file of a player with the beginning of its hash, and where there is
// room the recorded one.
func (m *Screen) fileText(r *board.Row, room int) string {
	file, sum := r.Reading.File, hash8(r.Reading.SHA256)
	if !r.Heard {
		file, sum = "-", "-"
	}
	if both := file + " " + sum + ", wanted " + hash8(r.Want.SHA256); m.Width(both) <= room {
		return both
	}
	return sum + " " + file
}

// hash8 is the beginning of a hash.
func hash8(sum string) string {
	if sum == "" {
		return "no hash"
	}
	return sum[:min(8, len(sum))]
}

// less is a without what is in b.
func less(a, b []int) []int {
	return slices.DeleteFunc(slices.Clone(a), func(p int) bool { return slices.Contains(b, p) })
}

func pinText(pins []int) string {
	var list []string
	for _, p := range pins {
		list = append(list, fmt.Sprint(p))
	}
	return strings.Join(list, " ")
}

// putRight stands beside the mark of a device on which the work has been done.
const putRight = "put right"

// markText is what the trainee made of a device, in so much room: that somebody is out
// for it comes before the mark.
func (m *Screen) markText(r *board.Row, room int) string {
	switch marked := string(r.Marked); {
	case !r.Out && r.PutRight:
		return m.firstFit(room, marked+", "+putRight, putRight)
	case !r.Out:
		return marked
	}
	out := m.outText(r)
	if both := out + ", " + string(r.Marked); r.Marked != board.NoFault && m.Width(both) <= room {
		return both
	}
	return out
}

// outText says when whoever is out for a device is back.
func (m *Screen) outText(r *board.Row) string {
	return "out, " + timebase.ClockUp(r.Back-m.now.Sub(m.snap.Field.Opened))
}
