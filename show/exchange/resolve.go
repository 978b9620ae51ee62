package exchange

import (
	"fmt"
	"slices"
	"strings"

	"drylane/show"
)

// Resolve finds the columns of the table that each of ours is made from, by
// index from 0: those that the profile maps, and where it maps none the one with
// our own name. The problems are those that make a conversion impossible.
func (p Profile) Resolve(t *Table) (set [ColumnCount][]int, ps show.Problems) {
	used := map[int]bool{}
	for c := range ColumnCount {
		for _, ref := range p.Map[c] {
			i, problem := ref.find(t)
			if problem != nil {
				problem.Found += " for " + c.String()
				ps = append(ps, *problem)
				continue
			}
			set[c] = append(set[c], i)
			used[i] = true
		}
	}
	for c := range ColumnCount {
		if _, given := p.Map[c]; given || p.otherwise(c, set) {
			continue
		}
		if i := ownName(t.Header, c); i >= 0 && !used[i] {
			set[c], used[i] = []int{i}, true
		}
	}
	return set, slices.Concat(ps, p.missing(t, set), p.twice(t, set))
}

// otherwise reports that a column is not to be taken by its name alone, as what
// it tells is settled: a prefire by the ignition, and the other way round.
func (p Profile) otherwise(c Column, set [ColumnCount][]int) bool {
	switch c {
	case Prefire:
		return set[IgniteAt] != nil
	case IgniteAt:
		return set[Prefire] != nil || p.Times == TimesIgnition
	}
	return false
}

// twice notes that the ignition is told in two ways.
func (p Profile) twice(t *Table, set [ColumnCount][]int) show.Problems {
	problem := show.Problem{Severity: show.SeverityStop, Code: show.CodeColumn, File: t.Name}
	switch {
	case set[IgniteAt] == nil:
		return nil
	case set[Prefire] != nil:
		problem.Found, problem.Wanted = "a column for prefire and one for ignite_at", "one of them: with ignite_at the prefire is the difference"
	case p.Times == TimesIgnition:
		problem.Found, problem.Wanted = "a column for ignite_at, and effect_at with the times of ignition", "effect_at with those of the effects, or no ignite_at"
	default:
		return nil
	}
	return show.Problems{problem}
}

// ownName finds the column that bears our name, -1 when none or several do.
func ownName(header []string, c Column) int {
	names := []string{c.String()}
	if c == Caliber {
		names = append(names, "caliber", "calibre", "calibre_mm")
	}
	found := -1
	for i, h := range header {
		if slices.Contains(names, fold(h)) {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

// find returns the index of the column in the table.
func (r Ref) find(t *Table) (int, *show.Problem) {
	problem := &show.Problem{Severity: show.SeverityStop, Code: show.CodeColumn, File: t.Name}
	if r.Number != 0 {
		if r.Number >= 1 && r.Number <= t.Width {
			return r.Number - 1, nil
		}
		problem.Found, problem.Wanted = fmt.Sprintf("no column %d", r.Number), fmt.Sprintf("one of the %d columns", t.Width)
		return 0, problem
	}
	if t.Header == nil {
		problem.Found, problem.Wanted = "no row with the columns' names, and "+show.Quote(r.Name)+" asked", fmt.Sprintf("a number from 1 to %d, or --header LINE", t.Width)
		return 0, problem
	}
	for _, same := range []func(string) bool{
		func(h string) bool { return h == clean(r.Name) },
		func(h string) bool { return strings.EqualFold(h, clean(r.Name)) },
		func(h string) bool { return fold(h) == fold(clean(r.Name)) },
	} {
		var at []int
		for i, h := range t.Header {
			if same(h) {
				at = append(at, i)
			}
		}
		if len(at) == 1 {
			return at[0], nil
		}
		if len(at) > 1 {
			problem.Found, problem.Wanted = fmt.Sprintf("the name %s over columns %d and %d", show.Quote(r.Name), at[0]+1, at[1]+1), "the number of the one that is meant"
			return 0, problem
		}
	}
	problem.Found, problem.Wanted = "no column "+show.Quote(r.Name), "one of "+t.titles()
	return 0, problem
}

// titles lists the columns for a message.
func (t *Table) titles() string {
	var names []string
	for i := range min(t.Width, 24) {
		names = append(names, show.Quote(t.Title(i)))
	}
	if t.Width > len(names) {
		names = append(names, "…")
	}
	return strings.Join(names, ", ")
}

// missing notes the columns that every cue needs and that nothing provides.
func (p Profile) missing(t *Table, set [ColumnCount][]int) show.Problems {
	var ps show.Problems
	for _, c := range [...]Column{EffectAt, Position} {
		if set[c] != nil || p.Fill[c] != "" {
			continue
		}
		wanted := fmt.Sprintf("--map %s=COLUMN, where COLUMN is one of %s", c, t.titles())
		if c == Position {
			wanted += `; or, for all cues, --fill position="NAME"`
		}
		ps = append(ps, show.Problem{Severity: show.SeverityStop, Code: show.CodeColumn, File: t.Name, Found: "no column for " + c.String(), Wanted: wanted})
	}
	return ps
}
