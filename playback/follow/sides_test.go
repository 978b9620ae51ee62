package follow

import (
	"math"
	"testing"

	"drylane/show/timebase"
)

// TestSides: timecode is found on either side, beside music on the other, or on both.
func TestSides(t *testing.T) {
	t.Parallel()
	s := code(t, timebase.FPS25, "01:00:00:00", 50, hz)
	for is, name := range []string{"left", "right", "both"} {
		frames := make([][2]float64, len(s))
		for i, x := range s {
			music := 0.3 * math.Sin(float64(i)*0.05) * math.Sin(float64(i)*0.0003)
			frames[i] = [2]float64{music, music}
			if is != 1 {
				frames[i][0] = x
			}
			if is != 0 {
				frames[i][1] = x
			}
		}
		r, err := NewSides(Config{SampleRate: hz, From: from})
		if err != nil {
			t.Fatal(err)
		}
		r.Write(frames)
		if now := r.At(r.Sample()); now.State != Locked || now.Place.Seconds() < 1.999 || now.Place.Seconds() > 2.001 {
			t.Errorf("%s: %s at %v", name, now.State, now.Place)
		}
	}
}
