package console

import (
	"slices"
	"testing"

	"drylane/show"
	"drylane/tui/internal/screentest"
)

// TestListenKey: the key goes from the music through the tracks and back to the
// music, and does nothing in a show that has none.
func TestListenKey(t *testing.T) {
	t.Parallel()
	s := newScene(t, 80, 24)
	s.press("p")
	if len(s.run.Sources) > 0 {
		t.Errorf("asked for source %v in a show without tracks", s.run.Sources)
	}
	s.Show.Tracks = []show.Track{{File: "a.wav"}, {File: "b.wav"}}
	for range 4 {
		s.press("p")
		s.run.Snap.Source = s.run.Sources[len(s.run.Sources)-1]
		s.look(screentest.Epoch)
	}
	if want := []int{1, 2, 0, 1}; !slices.Equal(s.run.Sources, want) {
		t.Errorf("asked for sources %v, want %v", s.run.Sources, want)
	}
}
