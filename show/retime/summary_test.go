package retime

import (
	"bytes"
	"errors"
	"testing"
)

// TestSummary: a line for each position that moves, in the order of the list, and one
// for each cue where the list is asked for.
func TestSummary(t *testing.T) {
	t.Parallel()
	r := Apply(list(4), minute, Spec{Rate: 1_000_000}, Spec{Shift: -ms(25), Position: "Right"})
	var summary, all bytes.Buffer
	if err := errors.Join(r.WriteSummary(&summary), r.WriteList(&all, "cues.csv")); err != nil {
		t.Fatal(err)
	}
	// 1000 ppm is 5, 6, 7, 8 ms at 5, 6, 7, 8 s; the right side is 25 ms later beyond that.
	want := "  Left   2 cues  EARLIER 0.005 s to EARLIER 0.007 s\n" +
		"  Right  2 cues  LATER 0.019 s to LATER 0.017 s\n"
	if summary.String() != want {
		t.Errorf("got\n%swant\n%s", summary.String(), want)
	}
	want = "cues.csv:2  cue 1  Left   0:05.000 -> 0:04.995  EARLIER 0.005 s\n" +
		"cues.csv:3  cue 2  Right  0:06.000 -> 0:06.019  LATER 0.019 s\n" +
		"cues.csv:4  cue 3  Left   0:07.000 -> 0:06.993  EARLIER 0.007 s\n" +
		"cues.csv:5  cue 4  Right  0:08.000 -> 0:08.017  LATER 0.017 s\n"
	if all.String() != want {
		t.Errorf("got\n%swant\n%s", all.String(), want)
	}
}

// TestSummaryOfOneShift: cues that all move alike have one figure.
func TestSummaryOfOneShift(t *testing.T) {
	t.Parallel()
	var summary bytes.Buffer
	if err := Apply(list(3), minute, Spec{Shift: ms(300)}).WriteSummary(&summary); err != nil {
		t.Fatal(err)
	}
	if got, want := summary.String(), "  Left   2 cues  EARLIER 0.300 s\n  Right  1 cue   EARLIER 0.300 s\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// TestSummaryOfUnheard: a position that nothing was heard of says so.
func TestSummaryOfUnheard(t *testing.T) {
	t.Parallel()
	var summary bytes.Buffer
	if err := Apply(list(3), minute, Spec{Shift: ms(300)}).WriteSummary(&summary, "Right"); err != nil {
		t.Fatal(err)
	}
	if got, want := summary.String(), "  Left   2 cues  EARLIER 0.300 s\n  Right  1 cue   EARLIER 0.300 s  (not heard; moved with the list)\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}
