package exchange

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// Limits that a show puts on a cue.
const (
	maxPin      = 10_000
	maxCaliber  = 1300     // millimetres
	maxRowBytes = 16 << 10 // of all texts of a cue
)

// A cueRow is a row on its way to being a cue.
type cueRow struct {
	*converter
	Row
	wrong show.Problems // why it is skipped
	left  []string      // cells that could not be read, for the note
	notes show.Problems // about those cells
}

// row makes a cue from r, or notes why it cannot.
func (c *converter) row(r Row) {
	if blank(r.Fields) {
		c.res.Blank++
		return
	}
	w := cueRow{converter: c, Row: r}
	w.width()
	cue := w.cue()
	if len(w.wrong) > 0 {
		c.res.Skipped = append(c.res.Skipped, Skip{Line: r.Line, Last: r.Last, Text: r.text(), Problems: w.wrong})
		return
	}
	if r.Last > r.Line {
		c.note(c.t.problem(r, -1, show.CodeSyntax, fmt.Sprintf("a row that runs on to line %d", r.Last), "one line for each cue, if it is not meant so"))
	}
	for _, p := range w.notes {
		c.note(p)
	}
	if len(r.Fields) < c.t.Width {
		c.res.Short++
	}
	cue.ID = c.id(r, cue.ID)
	if cue.Family == show.FamilyShell {
		c.res.Shells++
		if cue.Prefire == 0 {
			c.res.Bare++
		}
	}
	c.res.Cues = append(c.res.Cues, cue)
}

// cue reads the row; the result is good only if nothing is wrong.
func (w *cueRow) cue() show.Cue {
	cue := show.Cue{
		ID:       w.text(Cue),
		Prefire:  w.time(Prefire, w.prefire),
		Position: w.text(Position),
		Module:   w.text(Module),
		Effect:   w.text(Effect),
		Burn:     w.spare(Burn, w.burn),
		Pin:      w.pin(),
		Caliber:  w.caliber(),
		Line:     w.Line,
	}
	cue.EffectAt = w.times(cue.Prefire)
	if w.set[IgniteAt] != nil {
		cue.Prefire = w.fromIgnition(cue.EffectAt)
	}
	cue.Note = strings.Join(append(w.list(w.text(Note)), w.left...), "; ")
	cue.Family = show.FamilyOf(cue.Effect)
	if cue.Position == "" {
		w.bad(Position, show.CodeMissing, "no position", `one, or --fill position="NAME"`)
	}
	if n := len(cue.ID) + len(cue.Position) + len(cue.Module) + len(cue.Effect) + len(cue.Note); n > maxRowBytes {
		w.bad(Note, show.CodeRange, fmt.Sprintf("texts of %d bytes", n), fmt.Sprintf("at most %d in a row", maxRowBytes))
	}
	return cue
}

// width refuses a row with more in it than there are columns: a separator
// stands in one of its texts, and what is behind it would be misread.
func (w *cueRow) width() {
	if len(w.Fields) > w.t.Width && !blank(w.Fields[w.t.Width:]) {
		w.wrong = append(w.wrong, w.t.problem(w.Row, w.t.Width, show.CodeSyntax,
			fmt.Sprintf("%d fields", len(w.Fields)), fmt.Sprintf("at most %d, one for each column", w.t.Width)))
	}
}

// bad notes what keeps the row from becoming a cue.
func (w *cueRow) bad(c Column, code, found, wanted string) {
	w.wrong = append(w.wrong, w.t.problem(w.Row, w.field(c), code, found, wanted))
}

// field is the first field of a column, -1 when the table has none.
func (w *cueRow) field(c Column) int {
	if len(w.set[c]) == 0 {
		return -1
	}
	return w.set[c][0]
}

// text is a column's text: that of its fields, or else the fill.
func (w *cueRow) text(c Column) string {
	var parts []string
	for _, i := range w.set[c] {
		if i >= len(w.Fields) {
			continue
		}
		if raw := w.Fields[i]; strings.TrimSpace(raw) != "" {
			if show.Clean(raw) != raw {
				w.res.Cleaned++
			}
			parts = append(parts, w.list(clean(raw))...)
		}
	}
	if len(parts) == 0 {
		return w.p.Fill[c]
	}
	sep := "; "
	if c == Effect {
		sep = " "
	}
	return strings.Join(parts, sep)
}

// list is s as a list of one, or of none when it is empty.
func (w *cueRow) list(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

// number is the text of a column that holds a number.
func (w *cueRow) number(c Column) string {
	if i := w.field(c); i >= 0 {
		if s := w.cell(i); s != "" {
			return s
		}
	}
	return w.p.Fill[c]
}

// times reads the row's time and returns when the effect is due. Whether the
// file gives that or the ignition, the time it gives is the one that is kept
// to the millisecond.
func (w *cueRow) times(prefire time.Duration) time.Duration {
	s := w.number(EffectAt)
	if s == "" {
		w.bad(EffectAt, show.CodeMissing, "no effect_at", "the time of the cue")
		return 0
	}
	at, ok := w.moment(EffectAt, s)
	if !ok {
		return 0
	}
	if (w.p.Notation == "" || w.p.Notation == Auto) && strings.Count(s, ":") == 2 && !strings.ContainsAny(s, ".,;") {
		w.res.ThreeParts++
	}
	if w.p.Times == TimesIgnition {
		at += prefire
	}
	if at > show.MaxTime {
		w.bad(EffectAt, show.CodeTime, show.Quote(s)+" as effect_at", errLong.Error())
	} else if at < prefire && len(w.wrong) == 0 {
		w.bad(Prefire, show.CodeEarly, "the ignition at "+timebase.ClockMillis(at-prefire), "it not before the music starts, or --times ignition")
	}
	return at
}

// moment reads a time of the file's clock and counts it from the zero.
func (w *cueRow) moment(c Column, s string) (at time.Duration, ok bool) {
	at, err := w.effectAt.read(s)
	if err != nil {
		w.bad(c, show.CodeTime, show.Quote(s)+" as "+c.String(), err.Error())
		return 0, false
	}
	if at -= w.zero; at < 0 {
		w.bad(c, show.CodeEarly, show.Quote(s)+" as "+c.String()+", which is before the zero of "+show.Quote(w.p.Zero), errNegative.Error())
		return 0, false
	}
	return w.round(at), true
}

// fromIgnition is the prefire of a row that says when it is fired: 0 where that
// is empty.
func (w *cueRow) fromIgnition(effect time.Duration) time.Duration {
	s := w.number(IgniteAt)
	if s == "" {
		return 0
	}
	at, ok := w.moment(IgniteAt, s)
	if ok && at > effect && len(w.wrong) == 0 {
		w.bad(IgniteAt, show.CodeTime, "the ignition at "+timebase.ClockMillis(at)+", after the effect at "+timebase.ClockMillis(effect), "it not after the effect")
	}
	return max(effect-at, 0)
}

func (w *cueRow) round(d time.Duration) time.Duration {
	r := d.Round(time.Millisecond)
	if r != d {
		w.res.Rounded++
	}
	return r
}

// time reads a time that the cue depends on; an empty one is 0.
func (w *cueRow) time(c Column, r timeReader) time.Duration {
	s := w.number(c)
	if s == "" {
		return 0
	}
	d, err := r.read(s)
	if err != nil {
		w.bad(c, show.CodeTime, show.Quote(s)+" as "+c.String(), err.Error())
	}
	return w.round(d)
}

// spare reads a time that the cue can do without.
func (w *cueRow) spare(c Column, r timeReader) time.Duration {
	s := w.number(c)
	if s == "" {
		return 0
	}
	d, err := r.read(s)
	if err != nil {
		w.keep(c, show.CodeTime, s, err.Error())
	}
	return w.round(d)
}

// keep puts a cell that cannot be read into the note.
func (w *cueRow) keep(c Column, code, s, wanted string) {
	w.left = append(w.left, c.String()+": "+s)
	w.notes = append(w.notes, w.t.problem(w.Row, w.field(c), code, show.Quote(s)+" as "+c.String(), wanted+"; it is kept in the note"))
}
