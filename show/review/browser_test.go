package review

import (
	"strings"
	"testing"
	"time"

	"drylane/testdata/reftest"
)

// TestOnATelephone: every column is in the window, and no word of it is broken,
// however long the names of positions are.
func TestOnATelephone(t *testing.T) {
	const width = 390
	rep, m := report(t)
	for i := range rep.Positions {
		rep.Positions[i].Name += ", left of the boathouse"
	}
	var b strings.Builder
	p := Page{Title: "Fair", Made: time.Unix(0, 0).UTC(), Report: rep, Music: m, Wave: make([]float32, 1200)}
	if err := p.WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	got := reftest.Phone(t, b.String(), width)
	if got.Width > width || len(got.Outside) > 0 || len(got.Broken) > 0 || len(got.Small) > 0 {
		t.Errorf("%+v, want all of it within %d pixels, whole and legible", got, width)
	}
}
