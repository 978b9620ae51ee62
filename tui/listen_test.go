package tui

import (
	"slices"
	"testing"

	"drylane/show"
)

// TestListenKey: the key goes from the music through the tracks and back to the
// music, and does nothing in a show that has none.
func TestListenKey(t *testing.T) {
	s := newScene(t, 80, 24)
	s.press("p")
	if len(s.run.listen) > 0 {
		t.Errorf("asked for source %v in a show without tracks", s.run.listen)
	}
	s.Show.Tracks = []show.Track{{File: "a.wav"}, {File: "b.wav"}}
	for range 4 {
		s.press("p")
		s.run.snap.Source = s.run.listen[len(s.run.listen)-1]
		s.look(epoch)
	}
	if want := []int{1, 2, 0, 1}; !slices.Equal(s.run.listen, want) {
		t.Errorf("asked for sources %v, want %v", s.run.listen, want)
	}
}
