package exchange

import (
	"testing"

	"pgregory.net/rapid"
)

// TestMarkersRoundTrip: cues come back from their markers as they were, whatever
// the profile says of some text.
func TestMarkersRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := cues(t)
		markers := CueMarkers(want)
		for i := range markers { // as they come out of a file
			markers[i].Label, markers[i].Note = MarkerText(markers[i].Label), MarkerText(markers[i].Note+"\x00")
		}
		res, err := Convert(MarkerTable("a.wav", markers), Profile{Decimal: ",", Notation: Milliseconds, CaliberUnit: Inches})
		if err != nil || len(res.Skipped) > 0 || len(res.Notes) > 0 {
			t.Fatalf("%v %+v", err, res)
		}
		if !sameCues(res.Cues, want) {
			t.Fatalf("%+v\nwant %+v", res.Cues, want)
		}
	})
}
