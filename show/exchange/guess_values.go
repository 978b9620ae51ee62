package exchange

import (
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"drylane/show"
	"drylane/show/timebase"
)

// A look is what the values of a column look like, in the first timeRows rows.
// Shares are of the cells in which something stands.
type look struct {
	cells    int
	distinct int
	times    map[int]time.Duration // by row, those that read as a time
	last     time.Duration         // the latest
	rising   bool                  // no time is before the one above it
	counting bool                  // whole numbers, each one more than the one above it
	fine     bool                  // colons or decimals: no numbers that count things
	whole    float64               // share of whole numbers from 1 on
	sizes    float64               // share of what reads as a caliber
	widest   float64               // the largest of them, by its number
	inches   bool                  // a unit of inches stands behind one
	worded   float64               // share of cells with a letter in them
	effects  float64               // share of descriptions of an effect
	longest  int                   // in bytes
}

// lookAt looks at column i. point is the decimal character.
func (t *Table) lookAt(i int, point byte, rate timebase.Rate) look {
	l := look{times: map[int]time.Duration{}, rising: true, counting: true}
	reader := timeReader{Auto, point, rate, false}
	seen := map[string]bool{}
	var above time.Duration
	count := int64(0)
	for row, r := range t.Rows[:min(timeRows, len(t.Rows))] {
		s := r.cell(i)
		if s == "" {
			continue
		}
		l.cells++
		seen[s] = true
		l.longest = max(l.longest, len(s))
		if at, err := reader.read(s); err == nil {
			l.times[row] = at
			l.rising, above = l.rising && at >= above, at
			l.last = max(l.last, at)
			l.fine = l.fine || strings.ContainsAny(s, ":;.,")
		}
		n, err := strconv.ParseInt(s, 10, 32)
		if err == nil && n > 0 {
			l.whole++
		}
		l.counting, count = l.counting && err == nil && (count == 0 || n == count+1), n
		l.text(s)
		l.size(s, point)
	}
	l.distinct = len(seen)
	all := math.Max(1, float64(l.cells))
	l.whole, l.sizes, l.worded, l.effects = l.whole/all, l.sizes/all, l.worded/all, l.effects/all
	return l
}

// text counts a cell that is words.
func (l *look) text(s string) {
	if strings.ContainsFunc(s, unicode.IsLetter) {
		l.worded++
		if show.FamilyOf(s) != show.FamilyOther {
			l.effects++
		}
	}
}

// size counts a cell that reads as a caliber, with a unit or without.
func (l *look) size(s string, point byte) {
	number := strings.TrimSpace(strings.ToLower(s))
	for _, u := range calibers {
		if rest, ok := strings.CutSuffix(number, u.end); ok {
			number, l.inches = strings.TrimSpace(rest), l.inches || u.inch
			break
		}
	}
	if n, err := parseDecimal(number, point); err == nil && n > 0 && n <= maxCaliber*nano {
		l.sizes++
		l.widest = math.Max(l.widest, float64(n)/nano)
	}
}

// timed is the share of cells that read as a time of at most most.
func (l *look) timed(most time.Duration) float64 {
	if l.cells == 0 || l.last > most {
		return 0
	}
	return float64(len(l.times)) / float64(l.cells)
}

// Most of a column's cells, and how long a prefire and a burn are at the most.
const (
	mostCells   = 0.9
	longPrefire = 30 * time.Second
	longBurn    = 10 * time.Minute
)

// fits says how well the values fit column c of ours; ok is false when they cannot
// be what it holds.
func (l *look) fits(c Column) (score int, ok bool) {
	count := func(reasons ...bool) (n int) {
		for _, r := range reasons {
			if r {
				n++
			}
		}
		return n
	}
	switch c {
	case Cue:
		return count(l.counting), 20*l.distinct >= 19*l.cells && l.longest <= 16 && !l.fine
	case EffectAt, IgniteAt:
		return count(l.rising, l.last >= timeLeast, l.fine), l.timed(show.MaxTime) >= mostCells && !l.counting
	case Prefire:
		return count(!l.rising, l.fine), l.timed(longPrefire) >= mostCells && !l.counting
	case Burn:
		return count(!l.rising, l.fine), l.timed(longBurn) >= mostCells && !l.counting
	case Position, Module:
		return count(l.distinct <= 12, (c == Position) == (l.worded > 0.5)), 2*l.distinct <= max(l.cells, 8) && l.longest <= 40 && !l.fine
	case Pin:
		return count(!l.rising), l.whole >= mostCells
	case Effect:
		return count(l.effects >= 0.5, l.effects >= 0.5, l.worded >= mostCells), l.worded >= 0.5
	case Caliber:
		return count(!l.rising, l.widest >= 10 || l.inches), l.sizes >= mostCells
	}
	return 0, l.worded >= 0.5 // a note
}

// timeLeast is what a column of a show's times gets past.
const timeLeast = 30 * time.Second
