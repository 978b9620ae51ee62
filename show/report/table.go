package report

import (
	"encoding/csv"
	"io"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/timebase"
	"drylane/show/words"
)

// tableColumns are the columns of WriteCSV. Times are seconds of music but
// length_s, low_s and high_s; drifts are positive when cues are late.
var tableColumns = []string{"session", "began", "show", "person", "what", "name", "position", "at_s", "length_s", "low_s", "high_s", "note"}

// WriteCSV writes all that the sheets hold, one thing a line, as CSV (RFC 4180,
// UTF-8, CRLF). The column what says which thing: show, lane, section, place, places, tap,
// hold, nudge, what became of a cue that did not fire as listed (late, skipped,
// left), of the field board: fault, marked wrongly, walked for nothing, or of people:
// no-go, armed without go, in the field. No text in it is taken for a formula by a spreadsheet.
func WriteCSV(w io.Writer, sheets []*Sheet) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	t := table{out: out}
	t.line(tableColumns)
	for _, s := range sheets {
		t.sheet(s)
	}
	out.Flush()
	return out.Error()
}

// A table writes lines; errors stay in the writer for the end.
type table struct {
	out   *csv.Writer
	first []string // the columns that say which session a line is of
}

func (t *table) line(cells []string) { t.out.Write(cells) }

// A thing is one line.
type thing struct {
	what, name, position string
	at                   string
	length, low, high    string
	note                 string
}

func (t *table) put(x thing) {
	t.line(append(t.first[:len(t.first):len(t.first)], x.what, show.Cell(x.name), show.Cell(x.position),
		x.at, x.length, x.low, x.high, show.Cell(x.note)))
}

func (t *table) sheet(s *Sheet) {
	h := s.Run.Header
	t.first = []string{show.Cell(s.Name), h.Began.Format(time.RFC3339), show.Cell(h.Title), show.Cell(s.Person.Name)}
	if s.List.Show.N > 0 {
		t.estimate("show", drift.Group{Estimate: s.List.Show}, s.Verdict())
		for _, g := range s.List.Lanes {
			t.estimate("lane", g, "")
		}
		for _, g := range s.List.Sections {
			t.estimate("section", g, "")
		}
	}
	if s.Places != nil {
		for _, p := range s.Places.Places {
			t.estimate("place", drift.Group{Name: p.Name, Estimate: p.For}, s.Places.Whom())
		}
		t.put(thing{what: "places", note: s.Places.Verdict.Text})
	}
	t.field(s.Run)
	t.people(s.Run)
	t.taps(s)
	for _, x := range s.Run.Holds {
		note := x.Reason
		if x.Prompt != "" {
			note += " (" + timebase.Seconds(x.Reaction) + " s after: " + x.Prompt + ")"
		}
		if left := x.LeftWords(); left != "" {
			note += "; " + left
		}
		t.put(thing{what: "hold", at: s.moment(x.Heard), length: timebase.Seconds(x.Length), note: note})
	}
	for _, text := range s.Run.CallsOff() {
		t.put(thing{what: "calls", note: text})
	}
	for _, n := range s.Run.Nudges {
		t.put(thing{what: "nudge", at: s.moment(n.Heard), length: timebase.Seconds(n.To), note: words.Nudge(n.To)})
	}
	for _, c := range s.Run.Cues {
		switch {
		case c.Ending != Fired:
			t.put(thing{what: c.Ending.String(), name: c.ID, position: c.Position, at: s.moment(c.Listed), note: c.Effect})
		case c.Late > 0:
			t.put(thing{what: "late", name: c.ID, position: c.Position, at: s.moment(c.Listed), length: timebase.Seconds(s.Run.At(c.Late)), note: c.Effect})
		}
	}
}

// estimate writes an estimate; its length is the drift.
func (t *table) estimate(what string, g drift.Group, note string) {
	e := g.Estimate
	x := thing{what: what, name: g.Name, length: timebase.Seconds(e.Offset), low: timebase.Seconds(e.Low), high: timebase.Seconds(e.High), note: note}
	if g.To > 0 {
		x.at = timebase.Seconds(g.From)
	}
	t.put(x)
}

// taps writes every tap; its length is the drift of the cue as listed.
func (t *table) taps(s *Sheet) {
	for _, p := range s.Points() {
		x := thing{what: "tap", name: p.Cue, position: strings.Join(p.Lanes, " "), at: s.moment(p.Heard), note: string(p.Outcome)}
		if p.Outcome != Loose {
			x.length = timebase.Seconds(p.Residual)
		}
		t.put(x)
	}
}

func (s *Sheet) moment(f timebase.Frame) string { return timebase.Seconds(s.Run.At(f)) }
