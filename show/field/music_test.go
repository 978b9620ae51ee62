package field

import (
	"slices"
	"testing"
	"time"

	"drylane/show"
)

// Speakers 34.32 m ahead of the main audience at 20 °C, where sound makes 343.2 m/s: by
// hand, 100 ms to it, 200 ms to people 34.32 m behind it, and 300 ms to a position
// 137.28 m ahead.
func TestMusicArrivals(t *testing.T) {
	s := &show.Show{Air: show.Air{TemperatureC: 20}, Speakers: []show.Speaker{{Name: "stack", Distance: 34.32}, {Name: "far", Distance: 343.2, Bearing: 90}},
		Audiences: []show.Audience{{Name: "bridge", Distance: 34.32, Bearing: 180}},
		Positions: []show.Position{{Name: "Mole", Distance: 137.28}, {Name: "Slip"}, {Name: "bridge", Distance: 50}}}
	want := []MusicArrival{{MainAudience, 100 * time.Millisecond}, {"bridge", 200 * time.Millisecond}, {"Mole", 300 * time.Millisecond}}
	got := MusicArrivals(s)
	for i := range got {
		got[i].Music = got[i].Music.Round(time.Microsecond)
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	s.Speakers[0].Delay = 50 * time.Millisecond
	if got := MusicArrivals(s)[0].Music.Round(time.Microsecond); got != 150*time.Millisecond {
		t.Errorf("with a delay of 50 ms: %v", got)
	}
	s.Speakers = nil
	if got := MusicArrivals(s); got != nil {
		t.Errorf("without a speaker: %v", got)
	}
}
