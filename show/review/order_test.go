package review

import (
	"slices"
	"testing"
)

// TestExceptionsFirst: the rest of a list is told after what it is the rest of.
func TestExceptionsFirst(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ codes, want []Code }{
		{nil, nil},
		{[]Code{Shifted}, []Code{Shifted}},
		{[]Code{Shifted, Drifts, PositionApart, PositionUnclear, SectionApart}, []Code{PositionApart, PositionUnclear, Shifted, Drifts, SectionApart}},
		{[]Code{InPlace, SectionApart}, []Code{InPlace, SectionApart}},
	} {
		var list []Verdict
		for _, code := range c.codes {
			list = append(list, Verdict{Code: code})
		}
		var got []Code
		for _, v := range exceptionsFirst(list) {
			got = append(got, v.Code)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.codes, got, c.want)
		}
	}
}
