package align

import (
	"math"
	"strings"
	"testing"
)

// What a copy lacks is told, each thing by itself, and where the music lies all the
// same: 7.3 dB lower here, and 441 frames (20 ms) later.
func TestSidesTold(t *testing.T) {
	t.Parallel()
	narrow := compose(score{seed: 31, rate: 22050, seconds: 40, bpm: 104})
	other := compose(score{seed: 34, rate: 22050, seconds: 40, bpm: 104})
	wide := narrow.mapped(func(i int, v [2]float64) [2]float64 { return [2]float64{v[0], other.frames[i][1]} })
	for _, c := range []struct {
		name     string
		copied   func(l, r float64) (float64, float64)
		want     Result // in a copy of the wide one; OneSide does not show in the narrow one
		sentence string
		whole    bool
	}{
		{"as it is", func(l, r float64) (float64, float64) { return l, r }, Result{}, "runs true", true},
		{"left reversed", func(l, r float64) (float64, float64) { return -l, r }, Result{Reversed: "left"}, "the polarity of its left side is reversed", false},
		{"right reversed", func(l, r float64) (float64, float64) { return l, -r }, Result{Reversed: "right"}, "the polarity of its right side is reversed", false},
		{"right missing", func(l, r float64) (float64, float64) { return l, 0 }, Result{BMissing: "right", OneSide: "left"}, "its right side is silent", false},
		{"left missing", func(l, r float64) (float64, float64) { return 0, r }, Result{BMissing: "left", OneSide: "right"}, "its left side is silent", false},
		{"left on both", func(l, r float64) (float64, float64) { return l, l }, Result{OneSide: "left"}, "only the left side of the master is in it", false},
	} {
		for width, a := range map[string]music{"narrow": narrow, "wide": wide} {
			if width == "narrow" && (testing.Short() || c.want.OneSide != "" && c.want.BMissing == "") {
				continue // its sides are nearly the same
			}
			t.Run(c.name+", "+width, func(t *testing.T) {
				lower := math.Pow(10, -7.3/20)
				b := a.cut(-441, len(a.frames)).mapped(func(_ int, v [2]float64) [2]float64 {
					l, r := c.copied(v[0], v[1])
					return [2]float64{l * lower, r * lower}
				})
				r := compare(t, a, b, Options{})
				if !r.Same || r.Polarity != 1 || r.Swapped || math.Abs(r.OffsetMs-20) > 0.5 || math.Abs(r.GainDB+7.3) > 0.7 {
					t.Errorf("%+v", r)
				}
				if width == "narrow" {
					r.OneSide = c.want.OneSide
				}
				if r.Reversed != c.want.Reversed || r.BMissing != c.want.BMissing || r.OneSide != c.want.OneSide || r.AMissing != "" {
					t.Errorf("reversed %q, missing %q, one side %q; want %q, %q, %q", r.Reversed, r.BMissing, r.OneSide, c.want.Reversed, c.want.BMissing, c.want.OneSide)
				}
				if s := r.Sentence("the master", "the copy"); !strings.Contains(s, c.sentence) || r.Whole() != c.whole {
					t.Errorf("whole %v: %s", r.Whole(), s)
				}
			})
		}
	}
}

// A master that is at fault itself, one side of it reversed: the two still
// disagree about one side. And one that lacks a side which the copy has.
func TestSidesOfTheMaster(t *testing.T) {
	t.Parallel()
	good := compose(score{seed: 32, rate: 22050, seconds: 40, bpm: 96})
	reversed := good.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{v[0], -v[1]} })
	// Of nearly the same on both sides hardly anything is left in the sum.
	narrow := good.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{v[0], v[0]} })
	narrowReversed := narrow.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{v[0], -v[1]} })
	if r := compare(t, reversed, good, Options{}); r.Reversed != "right" || !r.Same {
		t.Errorf("wide: %+v", r)
	}
	if r := compare(t, narrowReversed, narrow, Options{}); r.Reversed != "right" || !r.Same {
		t.Errorf("narrow: %+v", r)
	}
	deaf := narrow.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{v[0], 0} })
	if r := compare(t, deaf, narrow, Options{}); r.AMissing != "right" || r.BMissing != "" || r.Whole() {
		t.Errorf("a side missing in the master: %+v", r)
	}
}

// A copy that holds a part is the same music, and not the whole of it. The parts
// are cut at a frame, so that how much is lacking is known to the frame; the music
// itself ends with a last note that dies away, up to which it is counted.
func TestPartTold(t *testing.T) {
	t.Parallel()
	a := compose(score{seed: 33, rate: 22050, seconds: 60, bpm: 110})
	at := func(s float64) int { return int(s * 22050) }
	for _, c := range []struct {
		name       string
		from, to   float64
		start, end float64 // lacking, s
	}{
		{"all", 0, 60, 0, 0},
		{"first 15 s", 0, 15, 0, 45},
		{"first 10 s", 0, 10, 0, 50},
		{"last 15 s", 45, 60, 45, 0},
		{"the middle", 20, 32, 20, 28},
		{"all but 2 s", 0, 58, 0, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compare(t, a, a.cut(at(c.from), at(c.to)), Options{})
			if !r.Same || math.Abs(r.OffsetMs+1000*c.from) > 0.5 || math.Abs(r.RatePPM) > 20 || math.Abs(r.GainDB) > 0.2 {
				t.Fatalf("%+v", r)
			}
			if math.Abs(r.LacksStartMs-1000*c.start) > 200 || math.Abs(r.LacksEndMs-1000*c.end) > 700 {
				t.Errorf("lacks %.0f and %.0f ms", r.LacksStartMs, r.LacksEndMs)
			}
			if whole := c.start == 0 && c.end == 0; r.Whole() != whole {
				t.Errorf("whole: %v", r.Whole())
			}
		})
	}
	r := compare(t, a.cut(0, at(10)), a, Options{})
	if !r.Whole() || math.Abs(r.OffsetMs) > 0.5 {
		t.Errorf("a copy that goes on behind the master's end: %+v", r)
	}
	silenced := a.mapped(func(i int, v [2]float64) [2]float64 {
		if i >= at(54) {
			return [2]float64{}
		}
		return v
	})
	if r := compare(t, a, silenced, Options{}); math.Abs(r.LacksEndMs-6000) > 700 {
		t.Errorf("a copy whose end is silent: %+v", r)
	}
}
