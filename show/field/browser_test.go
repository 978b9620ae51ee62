package field

import (
	"strings"
	"testing"

	"drylane/show"
	"drylane/testdata/reftest"
)

// broad is a field with names of every length on all its sides.
func broad() *show.Show {
	s := square()
	s.Positions = []show.Position{
		{Name: "Mole", Distance: 210, Bearing: -60}, {Name: "Left of the boathouse", Distance: 180, Bearing: -18},
		{Name: "Jetty", Distance: 165}, {Name: "Barge behind the island", Distance: 400, Bearing: 70},
	}
	s.Audiences = append(s.Audiences, show.Audience{Name: "terrace of the restaurant", Distance: 60, Bearing: 80})
	s.Speakers[0].Name, s.Speakers[1].Name = "left stack by the quay", "right stack by the quay"
	for i := range s.Cues {
		s.Cues[i].Position = s.Positions[i].Name
	}
	return s
}

// TestOnATelephone: every column and every name is in the window, whole.
func TestOnATelephone(t *testing.T) {
	const width = 390
	for name, s := range map[string]*show.Show{"square": square(), "broad": broad()} {
		var b strings.Builder
		if err := Of(s).WriteHTML(&b); err != nil {
			t.Fatal(err)
		}
		got := reftest.Phone(t, b.String(), width)
		if got.Width > width || len(got.Outside) > 0 || len(got.Broken) > 0 || len(got.Small) > 0 {
			t.Errorf("%s: %+v, want all of it within %d pixels, whole and legible", name, got, width)
		}
	}
}
