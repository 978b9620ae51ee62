package sheet

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/testdata/reftest"
)

// full is a show with two positions of 50 cues, wired and called, with words of
// every length in their columns.
func full() *show.Show {
	sh := &show.Show{Title: "Summer Evening at the Old Harbour", Positions: []show.Position{
		{Name: "Quay", Distance: 180}, {Name: "Beacon", Distance: 220, HandFired: true},
	}}
	effects := []string{"silver comet", "red peony with silver tail", "25 shot fan cake, green and violet with crackling", "gold willow"}
	at := 5 * s
	for i := range 50 {
		// Every fifth follows too soon for a word of its own.
		at += [...]time.Duration{9 * s, 12 * s, 3 * s, 9500 * time.Millisecond, 300 * time.Millisecond}[i%5]
		c := show.Cue{EffectAt: at + 2*s, Prefire: 2 * s, Effect: effects[i%4], Caliber: 25 * float64(1+i%6), Note: [...]string{"", "left rack", "", "mind the wind", ""}[i%5]}
		wired, called := c, c
		wired.ID, wired.Position, wired.Module, wired.Pin = fmt.Sprint(2*i+101), "Quay", "M1", i+1
		called.ID, called.Position = fmt.Sprint(2*i+100), "Beacon"
		sh.Cues = append(sh.Cues, called, wired)
	}
	return sh
}

func pageOf(t *testing.T, sheets []*Sheet) string {
	t.Helper()
	var b strings.Builder
	if err := WriteHTML(&b, "Full", sheets); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestOnPaper: 50 cues of a position take two sheets of paper at most, in type
// of 12 pt.
func TestOnPaper(t *testing.T) {
	for _, sh := range For(full()) {
		page := pageOf(t, []*Sheet{sh})
		for _, paper := range []string{"A4", "letter"} {
			if n := reftest.Pages(t, page, paper); n < 1 || n > 2 {
				t.Errorf("%s: %d cues take %d sheets of %s, want 2 at most", sh.Position, len(sh.Cues), n, paper)
			}
		}
	}
}

// TestOnATelephone: every column is in the window, and no word of it is broken.
func TestOnATelephone(t *testing.T) {
	const width = 390
	got := reftest.Phone(t, pageOf(t, For(full())), width)
	if got.Width > width || len(got.Outside) > 0 || len(got.Broken) > 0 || len(got.Small) > 0 {
		t.Errorf("%+v, want all of it within %d pixels, whole and legible", got, width)
	}
}

func TestInABrowser(t *testing.T) {
	text := reftest.Browse(t, pageOf(t, hostileSheets()))
	if strings.Contains(text, "<script") || strings.Count(text, "<section>") != 3 {
		t.Error("a hostile text became markup, or a sheet is missing")
	}
}
