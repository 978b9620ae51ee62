package show

import (
	"testing"
	"time"

	"drylane/show/timebase"
)

// TestUnknown: an effect without a burn time is unknown from when it comes, through
// a hold, until no effect would burn any longer; one stood down never is, and one
// with a burn time is what the list says it is.
func TestUnknown(t *testing.T) {
	cues := []Cue{
		{ID: "1", EffectAt: 2 * time.Second, Burn: time.Second, Position: "Quay"},
		{ID: "2", EffectAt: 4 * time.Second, Prefire: time.Second, Position: "Quay"},
		{ID: "3", EffectAt: 4 * time.Second, Position: "Mole"},
	}
	tr := NewTransport(NewPlan(cues, Console{Guard: DefaultGuard, NudgeLimit: DefaultNudgeLimit}, 1000, timebase.Frame(900_000)))
	for _, c := range []Command{{Action: Arm}, {Action: Start}, {Action: StandDown, Group: Group{LanesByPosition, "Mole"}}} {
		if _, err := tr.Do(c, 0, nil); err != nil {
			t.Fatal(err)
		}
	}
	for _, tt := range []struct {
		heard   timebase.Frame
		stopped time.Duration
		up, not int
	}{
		{2500, 0, 1, 0},
		{3500, 0, 1, 0}, // lit, and yet to come: still up
		{3500, 400 * time.Millisecond, 1, 0},
		{3500, 500 * time.Millisecond, 0, 1}, // it came in the hold
		{4000, 0, 0, 1},
		{4000 + 299_999, 0, 0, 1},
		{4000 + 299_999, time.Second, 0, 0},
		{4000 + 300_000, 0, 0, 0},
	} {
		tr.Advance(tt.heard, nil)
		up, not := len(tr.StillUp(tt.stopped, nil)), tr.Unknown(tt.stopped)
		if up != tt.up || not != tt.not {
			t.Errorf("at %d, stopped for %v: %d still up, %d unknown; want %d and %d", tt.heard, tt.stopped, up, not, tt.up, tt.not)
		}
	}
}

func TestOpenInWords(t *testing.T) {
	for _, tt := range []struct {
		open Open
		want string
	}{
		{Open{}, ""},
		{Open{Unticked: 1}, "1 line unticked"},
		{Open{Up: 3, Unknown: 1, Unticked: 4}, "2 still up, 1 unknown, 4 lines unticked"},
		{Open{Up: 2, Unknown: 2}, "2 unknown"},
		{Open{Silent: 1, Asks: "Ada asks to stand Quay down"}, "Ada asks to stand Quay down, 1 of the crew not heard from"},
	} {
		if got := tt.open.Words(); got != tt.want || tt.open.Any() != (tt.want != "") {
			t.Errorf("%+v: %q, want %q", tt.open, got, tt.want)
		}
	}
}
