package review

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"drylane/show"
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

// What grows by another rate grows from the start of the music, though the first cue
// comes half a minute into it and is 30 ms late by then.
func TestGrowthFromTheStart(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(41, 42))
	m := invented(r, 5*time.Minute)
	cues := placed(r, m, 300, func(_ string, at time.Duration) time.Duration { return at / 1000 })
	cues = slices.DeleteFunc(cues, func(c show.Cue) bool { return c.EffectAt < 30*time.Second })
	rep := Check(cues, m)
	if !rep.Rate.Grows || rep.Rate.From != 0 || apart(rep.Rate.PerMinute(), 60*ms, 3*ms) {
		t.Errorf("got %+v; want 60 ms a minute from 0", rep.Rate)
	}
}

// Other music of nearly the same pace seems to grow away from the list: of a list that
// is not known to be for this music no growth is told.
func TestNoGrowthOfWhatIsNotTold(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(43, 44))
	m := invented(r, 5*time.Minute)
	cues := placed(r, m, 300, func(_ string, at time.Duration) time.Duration { return at / 1000 })
	for _, c := range []struct {
		confidence float64
		want       bool
	}{{0.99, true}, {0.5, false}} {
		rev := review{Ear: Listen(m), cues: cues, tilt: line{slope: 1e-3}}
		rep := Report{Show: Fit{Moments: len(cues), Confidence: c.confidence}}
		rev.train = rev.of(scatters[1])[0]
		if rev.fitRate(&rep); rep.Rate.Grows != c.want {
			t.Errorf("at a confidence of %.2f: grows: %v", c.confidence, rep.Rate.Grows)
		}
	}
}
