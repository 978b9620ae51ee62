package show

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"drylane/show/timebase"
)

// WriteCues writes the cue list as CSV (RFC 4180, UTF-8, CRLF) with all
// columns and the cues in the order of s.Cues. Load reads the same cues back:
// times in whole milliseconds are kept, and a text that a spreadsheet would
// take for a formula stands behind an apostrophe, which Load takes away. A
// time that a cue list cannot hold is an error.
func (s *Show) WriteCues(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write(columns[:]); err != nil {
		return err
	}
	for _, c := range s.Cues {
		for _, d := range [...]time.Duration{c.EffectAt, c.Prefire, c.Burn, c.IgniteAt()} {
			if d < 0 || d > MaxTime {
				return fmt.Errorf("cue %s has a time of %s; wanted 0 to %s", Quote(c.ID), timebase.ClockMillis(d), timebase.ClockMillis(MaxTime))
			}
		}
		if err := out.Write(record(c)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// record is c in the order of columns.
func record(c Cue) []string {
	r := make([]string, colCount)
	r[colCue] = Cell(c.ID)
	r[colEffectAt] = timebase.Seconds(c.EffectAt)
	r[colPrefire] = timebase.Seconds(c.Prefire)
	r[colPosition] = Cell(c.Position)
	r[colModule] = Cell(c.Module)
	r[colEffect] = Cell(c.Effect)
	r[colBurn] = timebase.Seconds(c.Burn)
	r[colNote] = Cell(c.Note)
	if c.Pin != 0 {
		r[colPin] = strconv.Itoa(c.Pin)
	}
	if c.Caliber != 0 {
		r[colCaliber] = strconv.FormatFloat(c.Caliber, 'f', -1, 64)
	}
	return r
}

// Cell is a text as it may stand in CSV: cleaned, and behind an apostrophe
// where a spreadsheet would take it for a formula.
func Cell(text string) string { return shield(strings.TrimSpace(Clean(text))) }

// shield puts an apostrophe before a text that begins like a formula, after
// any apostrophes it already has, so that a spreadsheet shows it as it is;
// Unshield undoes it: Unshield(shield(s)) == s.
func shield(s string) string {
	if startsFormula(s) {
		return "'" + s
	}
	return s
}

// Unshield takes away the apostrophe that keeps a spreadsheet from taking a text
// for a formula, as Cell sets it.
func Unshield(s string) string {
	if strings.HasPrefix(s, "'") && startsFormula(s) {
		return s[1:]
	}
	return s
}

// startsFormula reports whether the first character of s that is no
// apostrophe makes a spreadsheet compute a cell: = + - @ and their full-width
// forms (OWASP, "CSV Injection").
func startsFormula(s string) bool {
	s = strings.TrimLeft(s, "'")
	for _, start := range [...]string{"=", "+", "-", "@", "＝", "＋", "－", "＠"} {
		if strings.HasPrefix(s, start) {
			return true
		}
	}
	return false
}
