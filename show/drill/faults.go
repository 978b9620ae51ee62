package drill

import (
	"cmp"
	"slices"
	"strings"

	"drylane/show"
)

// Faults are what does not work in a run at a moment. The zero Faults is a run in
// which all works.
type Faults struct{ list []fault }

// A fault is a deed that has not been put right.
type fault struct {
	do    Deed
	group show.Group // of the deeds that are about one; the zero Group is all cues
}

// Take takes in a deed, which begins a fault, ends one, or is none; g is whom it
// is about. What is put right is so on the terms on which it went wrong.
func (f *Faults) Take(do Deed, g show.Group) {
	r := do.row()
	if !takesGroup(&r) {
		g = show.Group{}
	}
	switch {
	case r.ends != "":
		f.list = slices.DeleteFunc(slices.Clone(f.list), func(x fault) bool { return x == fault{r.ends, g} })
	case r.begins() && !slices.Contains(f.list, fault{do, g}):
		f.list = append(slices.Clone(f.list), fault{do, g})
	}
}

// begins reports whether the deed is a fault, to be ended by another deed.
func (r *deedRow) begins() bool {
	return slices.ContainsFunc(deedTable, func(other deedRow) bool { return other.ends == r.do })
}

// Has reports whether a deed is a fault now, with any group.
func (f *Faults) Has(do Deed) bool {
	return slices.ContainsFunc(f.list, func(x fault) bool { return x.do == do })
}

// Groups returns whom the faults of a deed are about; the zero Group is all cues.
func (f *Faults) Groups(do Deed) []show.Group {
	var groups []show.Group
	for _, x := range f.list {
		if x.do == do {
			groups = append(groups, x.group)
		}
	}
	return groups
}

// Words list the faults, those of the whole run first; none is the empty text.
func (f *Faults) Words() string {
	var whole, some []string
	for _, x := range f.list {
		r := x.do.row()
		if takesGroup(&r) {
			some = append(some, about(cmp.Or(r.told, string(x.do)), x.group.Name, "everything"))
		} else {
			whole = append(whole, string(x.do))
		}
	}
	return strings.Join(append(whole, some...), ", ")
}
