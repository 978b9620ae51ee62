package show

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// maxCaliber, in millimetres, is above the largest shells ever fired (about
// 1.2 m; from memory).
const maxCaliber = 1300

// cue reads one row. What is wrong with it is noted, and reads as zero.
func (r *cueReader) cue(record []string) Cue {
	w := row{cueReader: r, record: record}
	c := Cue{ID: w.required(colCue), Line: r.place(0).line}
	stops := r.counts[SeverityStop]
	c.EffectAt, c.Prefire = w.time(colEffectAt), w.time(colPrefire)
	timed := r.counts[SeverityStop] == stops // whatever else is wrong with the row
	c.Burn = w.time(colBurn)
	c.Position = w.required(colPosition)
	c.Module, c.Pin = w.text(colModule), w.pin()
	c.Effect, c.Caliber, c.Note = w.text(colEffect), w.caliber(), w.text(colNote)
	c.Family = FamilyOf(c.Effect)
	r.checks.row(w, c, timed)
	return c
}

// A row is one record of the cue list, with its fields by column.
type row struct {
	*cueReader
	record []string
}

// raw is a field as the file has it, "" when the list lacks the column.
func (w row) raw(col int) string {
	if i := w.fields[col]; i >= 0 {
		return w.record[i]
	}
	return ""
}

// at is where the field of a column begins, or the row if it has no such
// column.
func (w row) at(col int) place {
	if i := w.fields[col]; i >= 0 {
		return w.place(i)
	}
	return place{w.place(0).line, 0}
}

// bad notes a problem with the field of a column.
func (w row) bad(col int, code, found, wanted string) {
	w.note(w.at(col), code, found+" as "+columns[col], wanted)
}

// text reads a text, without the apostrophe that kept it from being taken for
// a formula.
func (w row) text(col int) string {
	raw := w.raw(col)
	s, _, hidden := tidy(raw) // control characters were noted with their line
	if hidden {
		at := w.at(col)
		w.add(Problem{
			Severity: SeverityWarn, Code: CodeInvisible, File: w.file.name, Line: at.line, Column: at.column,
			Found: "invisible characters in " + Quote(raw) + " as " + columns[col], Wanted: "visible ones; they are left out",
		})
	}
	return Unshield(s)
}

func (w row) required(col int) string {
	s := w.text(col)
	if s == "" {
		w.note(w.at(col), CodeMissing, "no "+columns[col], "one in every line")
	}
	return s
}

// time reads a time. Only effect_at may not be left empty.
func (w row) time(col int) time.Duration {
	s := strings.TrimSpace(w.raw(col))
	if s == "" {
		if col == colEffectAt {
			w.note(w.at(col), CodeMissing, "no "+columns[col], timeWanted)
		}
		return 0
	}
	d, err := parseTime(s)
	if err != nil {
		w.bad(col, CodeTime, Quote(s), strings.TrimPrefix(err.Error(), "wanted "))
	}
	return d
}

// pin reads the number of a pin; pins count from 1 (common practice, no
// source). 0 means that none is given.
func (w row) pin() int {
	s := strings.TrimSpace(w.raw(colPin))
	if s == "" {
		return 0
	}
	n, err := strconv.ParseUint(s, 10, 32)
	if err != nil || n < 1 || n > maxPins {
		w.bad(colPin, CodeRange, Quote(s), fmt.Sprintf("a whole number from 1 to %d", maxPins))
		return 0
	}
	return int(n)
}

// caliber reads millimetres; 0 means that none is given.
func (w row) caliber() float64 {
	s := strings.TrimSpace(w.raw(colCaliber))
	if s == "" {
		return 0
	}
	// Digits and a point only: no sign, exponent, hexadecimal, NaN or Inf.
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || strings.Trim(s, "0123456789.") != "" || x > maxCaliber {
		w.bad(colCaliber, CodeRange, Quote(s), fmt.Sprintf("millimetres from 0 to %d such as 75", maxCaliber))
		return 0
	}
	return x
}
