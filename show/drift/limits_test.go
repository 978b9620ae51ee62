package drift

import (
	"math"
	"testing"
	"time"
)

// One position is told to stand apart from three quarters of a nudge on, 75 ms: less
// cannot be mended by a step, however sure it is. The taps are exact here, so that
// nothing else keeps it from being told.
func TestLaneApartFromThreeQuartersOfAStep(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		off  time.Duration
		told bool
	}{{30 * time.Millisecond, false}, {70 * time.Millisecond, false}, {-70 * time.Millisecond, false}, {110 * time.Millisecond, true}, {-110 * time.Millisecond, true}} {
		w := simulate(7).sparse(48)
		var taps []Tap
		for _, at := range w.accents {
			taps = append(taps, Tap{Heard: at})
		}
		for i := range w.cues {
			if w.cues[i].Lane == "Quay" {
				w.cues[i].At += c.off
			}
		}
		v := Analyse(w.cues, taps, Config{}).Verdict
		if told := v.Code == LaneApart && v.Lane == "Quay"; told != c.told {
			t.Errorf("off by %v: verdict %s, %q", c.off, v.Code, v.Text)
		}
	}
}

// Iglewicz and Hoaglin's rule worked by hand: of -60, -40, -20, 0, 20, 40, 60 ms and
// one more the middle is 10 ms and the median absolute deviation 40 ms. A value is
// an outlier where 0.6745 times its distance from the middle, over 40 ms, is more
// than 3.5: from 10 + 207.6 ms on.
func TestOutliersByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		last float64
		want bool
	}{{0.210, false}, {0.217, false}, {0.218, true}, {0.300, true}} {
		far := outliers([]float64{-0.06, -0.04, -0.02, 0, 0.02, 0.04, 0.06, c.last})
		for i, got := range far {
			if got != (c.want && i == 7) {
				t.Errorf("with %v the value %d is an outlier: %v", c.last, i, got)
			}
		}
	}
	// Taps that agree too well to be true are measured by the least scatter believed.
	for _, got := range outliers([]float64{0, 0, 0, 0, 0, 0.080}) {
		if got {
			t.Error("80 ms is less than 3.5 times 25 ms")
		}
	}
}

// A list that is 0.05 s late at the start and falls back by 1 ms a second, looked at
// between 100 and 200 s, where it is 0.15 to 0.25 s late. Refined from "0.2 s late,
// at the right rate" it is the line itself: turning it about the middle of the taps
// must not move it there.
func TestRefineTurnsAboutTheTaps(t *testing.T) {
	t.Parallel()
	var cues []Effect
	var y []float64
	var taps []Tap
	for i := range 26 {
		at := 100 + 4*float64(i)
		late := 0.05 + 0.001*at
		cues = append(cues, Effect{At: seconds(at), Lane: "Quay"})
		y = append(y, at-late)
		taps = append(taps, Tap{Heard: seconds(at - late)})
	}
	as := accents(cues)
	f := &fitted{model: model{shift: 0.2}, taps: taps, y: y}
	f.refine(as)
	paired := 0
	for _, m := range f.mates {
		if m != nil {
			paired++
		}
	}
	if paired != 26 || math.Abs(f.slope-0.001) > 1e-6 || math.Abs(f.shift-0.05) > 1e-4 {
		t.Errorf("%d taps paired on a line of %.5f s and %.6f a second, want 26, 0.05 and 0.001", paired, f.shift, f.slope)
	}
}
