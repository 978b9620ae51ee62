package exchange

import (
	"cmp"
	"slices"
	"strings"
)

// Guess returns the profile with a mapping for columns that it does not settle: by
// what is written over the table's columns and by what their values look like. It
// is a proposal for a person to look at, and nothing is converted by it unasked.
// guessed are the columns of ours that it proposes.
func (p Profile) Guess(t *Table) (with Profile, guessed []Column) {
	g := guesser{t: t, names: make([]string, t.Width), taken: make([]bool, t.Width)}
	point, _ := sniffDecimal(t.everyCell)
	if p.Decimal == "." || p.Decimal == "," {
		point = p.Decimal[0]
	}
	for i := range t.Width {
		if i < len(t.Header) {
			g.names[i] = t.Header[i]
		}
		g.looks = append(g.looks, t.lookAt(i, point, rateNamed(p.Rate)))
	}
	set, _ := p.Resolve(t)
	for c := range ColumnCount {
		_, given := p.Map[c]
		g.free[c] = !given && set[c] == nil && p.Fill[c] == ""
		g.at[c] = -1
		for _, i := range set[c] {
			g.taken[i], g.at[c] = true, i
		}
	}
	g.byName()
	g.byValues()
	times := g.ignition()
	with.Overlay(p)
	for _, s := range with.settings() {
		*s.value = *p.Setting(s.key)
	}
	for c, i := range g.at {
		if g.free[c] && i >= 0 {
			with.Map[Column(c)] = t.Ref(i)
			guessed = append(guessed, Column(c))
		}
	}
	if p.Times == "" && times {
		with.Times = TimesIgnition
	}
	if i := g.at[Caliber]; p.CaliberUnit == "" && g.free[Caliber] && i >= 0 && !g.looks[i].inches && g.looks[i].widest <= mostInches && g.inInches(i) {
		with.CaliberUnit = Inches
	}
	return with, guessed
}

// mostInches is larger than any shell.
const mostInches = 24

// everyCell yields the cells that are looked at.
func (t *Table) everyCell(yield func(string) bool) {
	for _, r := range t.Rows[:min(timeRows, len(t.Rows))] {
		for _, s := range r.Fields {
			if !yield(s) {
				return
			}
		}
	}
}

// Ref is what names column i, from 0, in a profile: its title if no other has it,
// else its number; no refs for -1, which leaves a column of ours empty.
func (t *Table) Ref(i int) []Ref {
	if i < 0 {
		return []Ref{}
	}
	same := 0
	for _, h := range t.Header {
		if i < len(t.Header) && strings.EqualFold(h, t.Header[i]) {
			same++
		}
	}
	if i >= len(t.Header) || t.Header[i] == "" || same != 1 {
		return []Ref{{Number: i + 1}}
	}
	return []Ref{{Name: t.Header[i]}}
}

// A guesser gives columns of a table to ours, each to one.
type guesser struct {
	t     *Table
	names []string
	looks []look
	taken []bool
	free  [ColumnCount]bool
	at    [ColumnCount]int // the table's column; -1 for none
}

func (g *guesser) give(c Column, i int) { g.at[c], g.taken[i] = i, true }

// byName gives columns whose name says what they are, unless their values cannot be
// that: the surest first.
func (g *guesser) byName() {
	type pair struct {
		c     Column
		i     int
		score int
	}
	var pairs []pair
	for c := range ColumnCount {
		for i := range g.looks {
			name := nameScore(g.names[i], c)
			fit, ok := g.looks[i].fits(c)
			if ok && g.looks[i].cells > 0 && (name == 3 || name > 0 && fit >= 2) {
				pairs = append(pairs, pair{c, i, 2*name + fit})
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(b.score, a.score) })
	for _, p := range pairs {
		if g.free[p.c] && g.at[p.c] < 0 && !g.taken[p.i] {
			g.give(p.c, p.i)
		}
	}
}

// byValues gives what every cue needs, and what it is, where no name says it.
func (g *guesser) byValues() {
	for _, c := range []struct {
		Column
		least int
	}{{EffectAt, 3}, {Effect, 3}, {Cue, 1}, {Position, 2}} {
		if !g.free[c.Column] || g.at[c.Column] >= 0 || c.Column == EffectAt && g.at[IgniteAt] >= 0 {
			continue
		}
		for i := range g.looks {
			if fit, ok := g.looks[i].fits(c.Column); ok && fit >= c.least && !g.taken[i] && g.looks[i].cells > 0 {
				g.give(c.Column, i)
				break
			}
		}
	}
}

// ignition settles what the times are: a second one near the first in each row is
// when a cue is fired, and the earlier of the two. It reports whether the only times
// are those of the ignition.
func (g *guesser) ignition() (only bool) {
	if !g.free[EffectAt] && !g.free[IgniteAt] {
		return false
	}
	if g.at[EffectAt] < 0 && g.at[IgniteAt] >= 0 {
		if i := g.beside(g.at[IgniteAt]); i >= 0 && g.free[EffectAt] {
			g.give(EffectAt, i)
		} else if g.free[EffectAt] && g.free[IgniteAt] {
			g.at[EffectAt], g.at[IgniteAt] = g.at[IgniteAt], -1
			return true
		}
	}
	if g.at[EffectAt] >= 0 && g.at[IgniteAt] < 0 && g.at[Prefire] < 0 && g.free[IgniteAt] && g.free[Prefire] {
		if i := g.beside(g.at[EffectAt]); i >= 0 {
			g.give(IgniteAt, i)
		}
	}
	switch {
	case g.at[EffectAt] < 0 || g.at[IgniteAt] < 0:
	case g.at[Prefire] >= 0: // one of them says it
		g.at[IgniteAt] = -1
	case g.free[EffectAt] && g.free[IgniteAt] && g.before(g.at[EffectAt], g.at[IgniteAt]):
		g.at[EffectAt], g.at[IgniteAt] = g.at[IgniteAt], g.at[EffectAt]
	}
	return false
}

// beside finds a column of times near those of column i, -1 if there is none.
func (g *guesser) beside(i int) int {
	for k, l := range g.looks {
		near := 0
		for row, at := range l.times {
			if other, ok := g.looks[i].times[row]; ok && (at-other).Abs() <= nearTime {
				near++
			}
		}
		if !g.taken[k] && l.last > timeLeast && 10*near >= 9*l.cells {
			return k
		}
	}
	return -1
}

// before reports whether most times of column i are before those of column j.
func (g *guesser) before(i, j int) bool {
	early, late := 0, 0
	for row, at := range g.looks[i].times {
		switch other, ok := g.looks[j].times[row]; {
		case ok && at < other:
			early++
		case ok && at > other:
			late++
		}
	}
	return early > late
}

// inInches reports whether the sizes of column i are numbers of inches: its name
// says so, or they are too small for millimetres.
func (g *guesser) inInches(i int) bool {
	words := nameWords(g.names[i])
	return slices.Contains(words, "inch") || slices.Contains(words, "inches") || slices.Contains(words, "in") ||
		!slices.Contains(words, "mm") && g.looks[i].widest <= 12
}
