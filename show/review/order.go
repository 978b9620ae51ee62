package review

import "slices"

// exceptionsFirst puts what is said of positions that stand apart before what is said
// of the rest of the list: nobody can read "the rest" before its exception.
func exceptionsFirst(list []Verdict) []Verdict {
	apart := func(v Verdict) bool { return v.Code == PositionApart || v.Code == PositionUnclear }
	if i := slices.IndexFunc(list, apart); i > 0 {
		n := i
		for n < len(list) && apart(list[n]) {
			n++
		}
		return slices.Concat(list[i:n], list[:i], list[n:])
	}
	return list
}
