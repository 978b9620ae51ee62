package exchange

import (
	"slices"
	"strings"
	"time"
)

// timeWords stand in the names of columns that hold times. General vocabulary,
// no source.
var timeWords = []string{"time", "ignit", "prefire", "pre_fire", "lead", "delay", "start", "at"}

const (
	// timeRows is how many rows are looked at to find out what a column holds.
	timeRows = 200
	// nearTime is how far from its cue's time a time of the same row is; longer
	// than any prefire, shorter than what a number would be off by chance.
	nearTime = 30 * time.Second
)

// looksLikeTime reports whether column i holds times: each cell reads as one,
// and either the column's name says so, or colons do, or nine of ten are near
// the time of their own cue.
func (c *converter) looksLikeTime(i int) bool {
	reader := timeReader{Auto, c.effectAt.point, c.effectAt.rate, false}
	cells, colons, judged, near := 0, 0, 0, 0
	for _, r := range c.t.Rows[:min(timeRows, len(c.t.Rows))] {
		s := r.cell(i)
		if s == "" {
			continue
		}
		at, err := reader.read(s)
		if err != nil && err != errNoRate { // frames are a time, whatever their rate
			return false
		}
		cells++
		if strings.Contains(s, ":") {
			colons++
		}
		// Any small number is near the first cues of a show.
		if t, ok := c.timeOf(r); ok && err == nil && t > nearTime {
			judged++
			if (t - at).Abs() <= nearTime {
				near++
			}
		}
	}
	return cells > 0 && (colons == cells || judged > 0 && 10*near >= 9*judged || c.namedLikeTime(i))
}

// timeOf reads the time of a row, by the file's clock.
func (c *converter) timeOf(r Row) (time.Duration, bool) {
	if len(c.set[EffectAt]) == 0 {
		return 0, false
	}
	t, err := c.effectAt.read(r.cell(c.set[EffectAt][0]))
	return t, err == nil
}

// cell is the text of field i; empty where there is none.
func (r Row) cell(i int) string {
	if i >= len(r.Fields) {
		return ""
	}
	return clean(r.Fields[i])
}

// namedLikeTime reports whether a word for a time stands in a column's name.
func (c *converter) namedLikeTime(i int) bool {
	if i >= len(c.t.Header) {
		return false
	}
	parts := strings.Split(fold(c.t.Header[i]), "_")
	return slices.ContainsFunc(timeWords, func(w string) bool {
		if len(w) < 4 {
			return slices.Contains(parts, w)
		}
		return strings.Contains(fold(c.t.Header[i]), w)
	})
}
