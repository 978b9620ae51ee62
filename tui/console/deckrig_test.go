package console

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/session"
	"drylane/tui/internal/screentest"
)

// silentDeck is a deck that runs the scene's show by a script, as fast as it
// can, and what it logs.
func silentDeck(t *testing.T, s *scene) (*deck.Deck, *bytes.Buffer) {
	t.Helper()
	steps, err := show.ParseScript("script", strings.NewReader("+0 arm\n+0 start\n30 hold\n+2 resume anyway\n"))
	if err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	cues := session.CuesOf(s.Plan, s.Show.Cues)
	w, err := session.NewWriter(&log, nil, session.Header{Soundtrack: session.Soundtrack{Rate: screentest.Rate}, Cues: cues})
	if err != nil {
		t.Fatal(err)
	}
	return deck.New(deck.Config{Plan: s.Plan, Cues: s.Show.Cues, Music: playback.NewSilence(int(s.Plan.Length)),
		Output: output.Silent(output.Options{Rate: screentest.Rate}, time.Now), Log: w, LogCues: cues, Script: steps}), &log
}
