package review

import (
	"math/rand/v2"
	"testing"
	"time"
)

// A position that is off by less than anybody sees or hears, 30 ms (at 30 frames a
// second a frame is 33 ms), is none that stands apart, however many cues say so; one
// that is off by 150 ms is.
func TestLittleIsNotApart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		off  time.Duration
		want bool
	}{{30 * ms, false}, {-30 * ms, false}, {150 * ms, true}} {
		r := rand.New(rand.NewPCG(21, 22))
		m := invented(r, 4*time.Minute)
		cues := placed(r, m, 420, func(p string, _ time.Duration) time.Duration {
			if p == "Quay" {
				return c.off
			}
			return 0
		})
		rep := Check(cues, m)
		for _, p := range rep.Positions {
			if want := c.want && p.Name == "Quay"; p.Apart != want {
				t.Errorf("Quay off by %v: %s stands apart: %v (%+v)", c.off, p.Name, p.Apart, p.Fit)
			}
		}
	}
}
