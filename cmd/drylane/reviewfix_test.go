package main

import (
	"slices"
	"testing"
	"time"

	"drylane/show/retime"
	"drylane/show/review"
)

// Only what is a fact is offered, and nothing where no shift would mend the list.
func TestFixes(t *testing.T) {
	late := review.Fit{Shift: 1333 * time.Millisecond, Confidence: 0.99}
	unsure, ambiguous := late, late
	unsure.Confidence, ambiguous.Ambiguous = 0.9, true
	quay := review.Position{Name: "Quay", Fit: late, Apart: true}
	vague := quay
	vague.Ambiguous = true
	further := quay
	further.Shift += 200 * time.Millisecond
	for name, c := range map[string]struct {
		rep  review.Report
		want []retime.Spec
	}{
		"fact":      {review.Report{Show: late}, []retime.Spec{{Shift: 1330 * time.Millisecond}}},
		"not sure":  {review.Report{Show: unsure}, nil},
		"ambiguous": {review.Report{Show: ambiguous}, nil},
		"drifts":    {review.Report{Show: late, Rate: review.Rate{Grows: true}}, nil},
		"position":  {review.Report{Positions: []review.Position{quay}}, []retime.Spec{{Shift: 1330 * time.Millisecond, Position: "Quay"}}},
		"beside an ambiguous list": {review.Report{Show: ambiguous, Positions: []review.Position{further}},
			[]retime.Spec{{Shift: 200 * time.Millisecond, Position: "Quay"}}},
		"beside a list that is late": {review.Report{Show: late, Positions: []review.Position{further}},
			[]retime.Spec{{Shift: 1330 * time.Millisecond}, {Shift: 200 * time.Millisecond, Position: "Quay"}}},
		"ambiguous position": {review.Report{Positions: []review.Position{vague}}, nil},
	} {
		if got := fixes(c.rep); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", name, got, c.want)
		}
	}
}
