package console

import (
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/show"
	roles "drylane/show/crew"
)

// A fakeCrew is a crew that a test moves by hand.
type fakeCrew crew.Board

func (f *fakeCrew) Board() *crew.Board { return (*crew.Board)(f) }

func (f *fakeCrew) Invitation() crew.Invitation {
	i := crew.Invitation{Address: "192.168.1.20:7411/2345-6789-ABCD-EFGH", Codes: map[roles.Kind]string{}}
	for _, k := range roles.Kinds() {
		i.Codes[k] = string(k) + "-7M4Q-X2DK"
	}
	return i
}

// fakeLines are a crew of three.
func fakeLines() []crew.Line {
	return []crew.Line{{Name: "Ada", Role: "safety", Ready: true, Bound: 2300 * time.Microsecond},
		{Name: "Ben", Role: "position:Beacon", Bound: 700 * time.Microsecond}, {Name: "Cyd", Role: "listener"}}
}

// TestStrikeOff: the key strikes off who is lost before who is only awaited, one at a
// time, and nobody where all is well or nobody takes part.
func TestStrikeOff(t *testing.T) {
	s := newScene(t, 80, 24)
	s.press("X")
	b := &fakeCrew{Lines: fakeLines()}
	s.Others = b
	s.press("X")
	b.Lines[0].Answer, b.Lines[2].Lost = roles.Awaited, time.Second
	s.press("X")
	b.Lines[2].Struck = true
	s.press("X")
	var off []string
	for _, a := range s.run.Did {
		if a.Kind == show.KindStrike {
			off = append(off, a.Text)
		}
	}
	if got := strings.Join(off, ", "); got != "Cyd, Ada" {
		t.Errorf("struck off: %q", got)
	}
}
