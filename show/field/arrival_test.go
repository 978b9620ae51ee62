package field

import (
	"math"
	"testing"
	"time"

	"drylane/show"
)

// TestArrival: in the square field sound takes a second to Ahead and half a one to Right;
// the music comes after 150 ms.
func TestArrival(t *testing.T) {
	s := square()
	f := Of(s)
	for _, c := range []struct {
		name        string
		cue         show.Cue
		audience    int
		from        From
		after, lift float64 // seconds; NaN: not known
	}{
		{"a mine", show.Cue{Position: "Right", Effect: "mine", Family: show.FamilyMine, Caliber: 60}, 0, FromGround, 0.35, 0.35},
		{"a shell, 304.8 m up", show.Cue{Position: "Ahead", Family: show.FamilyShell, Caliber: 254}, 0, FromBreak, math.Hypot(343.2, 304.8)/343.2 - 0.15, 0.85},
		{"from the terrace", show.Cue{Position: "Right", Effect: "mine", Family: show.FamilyMine, Caliber: 60}, 1, FromGround,
			1 - f.Audiences[1].Music.Seconds(), 1 - f.Audiences[1].Music.Seconds()},
		{"a fountain", show.Cue{Position: "Right", Effect: "fountain", Family: show.FamilyFountain}, 0, FromNowhere, math.NaN(), 0},
		{"a shell of no size", show.Cue{Position: "Right", Family: show.FamilyShell}, 0, FromUnknown, math.NaN(), 0},
		{"a position that is nowhere", show.Cue{Position: "Nowhere", Effect: "mine", Family: show.FamilyMine, Caliber: 60}, 0, FromGround, math.NaN(), 0},
	} {
		a := f.Arrival(c.cue, c.audience)
		if a.From != c.from || a.Known == math.IsNaN(c.after) {
			t.Errorf("%s: %+v", c.name, a)
			continue
		}
		if a.Known && (math.Abs(a.After.Seconds()-c.after) > 1e-6 || math.Abs(a.Lift.Seconds()-c.lift) > 1e-6 || a.Out < 5*time.Millisecond || a.Out > 100*time.Millisecond) {
			t.Errorf("%s: %+v, want %.4f and %.4f s", c.name, a, c.after, c.lift)
		}
	}
}
