package report

import (
	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// FieldLines tell how the field board was answered; none when there was no board.
func (r *Run) FieldLines() []string {
	if r.Field == nil {
		return nil
	}
	lines := r.Field.Account().Words(r.Field.Armed)
	if n := r.Field.Refused; n > 0 {
		lines = append(lines, "arming was asked for "+words.Times(n)+" while somebody was in the field")
	}
	for i, l := range lines {
		lines[i] = show.Clean(l)
	}
	return lines
}

// field writes what was wrong in the field, the marks where nothing was, and what was
// walked for nothing. The length of a fault is how long after the board was opened it
// was first marked.
func (t *table) field(r *Run) {
	if r.Field == nil {
		return
	}
	a := r.Field.Account()
	for _, f := range a.Found {
		x := thing{what: "fault", name: f.Device, note: f.String()}
		if f.Marked {
			x.length = timebase.Seconds(f.At)
		}
		t.put(x)
	}
	for _, device := range a.False {
		t.put(thing{what: "marked wrongly", name: device})
	}
	for _, device := range a.Needless {
		t.put(thing{what: "walked for nothing", name: device})
	}
}
