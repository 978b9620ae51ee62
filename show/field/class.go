package field

import (
	"fmt"
	"slices"
	"strings"

	"drylane/show"
	"drylane/show/words"
)

// shellCaliber is the size in mm from which an effect is taken for a shell when
// its description does not say what else it is: common practice, no source.
// Shells begin at about 2 in; single shots and the tubes of cakes are mostly
// smaller.
const shellCaliber = 50

// isShell reports whether a cue fires a shell. One that has the caliber of a shell
// does, unless its description names another device: how it looks, as a tail or a
// waterfall, does not say that it is none.
func isShell(c show.Cue) bool {
	switch c.Family {
	case show.FamilyShell:
		return true
	case show.FamilySalute:
		return false
	}
	return c.Caliber >= shellCaliber && !show.NamesDevice(c.Effect)
}

// isGroundSalute reports whether a cue fires a salute that goes off where it stands.
func isGroundSalute(c show.Cue) bool {
	return c.Family == show.FamilySalute && c.Prefire < groundSalute
}

// A Gap is what is not assessed of a family of effects.
type Gap struct {
	Family string   // in the singular; "not classed" for what cannot be told
	Cues   int      // how many cues of it are not fully assessed
	First  show.Cue // in the list
	What   []string // what is not assessed of them, and why
}

// String is the gap in one line.
func (g Gap) String() string {
	return fmt.Sprintf("%s: %s (the first is cue %s): %s", g.Family, words.Count(g.Cues, "cue"), show.Quote(g.First.ID), strings.Join(g.What, "; "))
}

// Gaps are what the rules of thumb say nothing of, one for each family of
// effects, what cannot be told last.
func Gaps(s *show.Show) []Gap {
	found := map[string]*Gap{}
	for _, c := range s.Cues {
		what := unassessed(c)
		if what == "" {
			continue
		}
		name := className(c)
		g := found[name]
		if g == nil {
			g = &Gap{Family: name, First: c}
			found[name] = g
		}
		if g.Cues++; c.Line < g.First.Line {
			g.First = c
		}
		if !slices.Contains(g.What, what) {
			g.What = append(g.What, what)
		}
	}
	var gaps []Gap
	for _, name := range classes {
		if g := found[name]; g != nil {
			gaps = append(gaps, *g)
		}
	}
	return gaps
}

// What the family "other" holds.
const (
	singleShot = "single shot"
	notClassed = "not classed"
)

// classes are the names of families as the rules tell them, in their order.
var classes = func() (names []string) {
	for f := show.FamilyOther + 1; f < show.FamilyCount; f++ {
		names = append(names, f.String())
	}
	return append(names, singleShot, notClassed)
}()

// className is the name of the family that the rules take a cue for.
func className(c show.Cue) string {
	switch {
	case isShell(c):
		return show.FamilyShell.String()
	case c.Family != show.FamilyOther:
		return c.Family.String()
	case show.NamesDevice(c.Effect):
		return singleShot
	}
	return notClassed
}

// unassessed says what of a cue is not assessed, and why; empty when everything
// is.
func unassessed(c show.Cue) string {
	const neither = "separation and lift time not assessed, "
	_, _, flies := Flight(c.Caliber)
	switch class := className(c); {
	case class == notClassed:
		return neither + "the list does not say what it is in words that are known"
	case class != show.FamilyShell.String() && class != show.FamilySalute.String():
		return "separation not assessed, the rule of thumb is one for shells"
	case c.Caliber == 0:
		return neither + "no caliber_mm"
	case isGroundSalute(c):
		return "lift time not assessed, taken to go off where it stands"
	case !flies:
		return fmt.Sprintf("lift time not assessed, known for %d to %d mm only", smallest, largest)
	}
	return ""
}
