package main

import (
	"strings"
	"testing"
	"time"

	"drylane/playback/recording"
	"drylane/show"
	"drylane/show/hear"
)

// TestHeldWords: where the show was held is told as well as it is known, and no better.
func TestHeldWords(t *testing.T) {
	s := &show.Show{Title: "Pier"}
	one := recording.Taken{Recording: hear.Recording{Name: "tape.wav", Pieces: []hear.Piece{
		{To: 96_685_091_464, Rate: 1}, {From: 96_685_091_464, To: 130 * time.Second, At: 101_945_091_464, Rate: 1},
	}}}
	var out strings.Builder
	if err := writeTaken(&out, s, []recording.Taken{one}); err != nil || !strings.Contains(out.String(), "  held at about 1:37 for 5.26 s\n") {
		t.Errorf("%v: %s", err, out.String())
	}
	if got := heardFigures(s, []recording.Taken{one}, hear.Report{}).Holds; len(got) != 1 || got[0] != (heardHold{96.7, 5.26}) {
		t.Errorf("%+v", got)
	}
}
