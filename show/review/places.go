package review

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// A place is a shift at which a list may belong.
type place struct {
	shift  time.Duration
	prior  float64 // the log of how likely it is before the music is heard
	log    float64 // of its chance, but for a constant
	chance float64
}

// oneMeeting is how far a cue may lie from an accent that it is counted for, when
// places are compared.
const oneMeeting = 30 * time.Millisecond

// places returns where the moments may belong, likeliest first, with the chance of
// each among all. sizes are the moments', wide is their curve to far either way.
func (e *Ear) places(moments []time.Duration, sizes, wide []float64, p prior) []place {
	middle, reach := len(wide)/2, int(Reach/grid)
	every := period(wide)
	var out []place
	for _, i := range peaks(wide, middle-reach, middle+reach) {
		s := place{shift: time.Duration(i-middle) * grid}
		s.prior = p.log(s.shift)
		s.log = s.prior + e.weigh(moments, sizes, s.shift, wide[i], standsOut(wide, i, every))
		out = append(out, s)
	}
	return ordered(out)
}

// ordered puts places in order, likeliest first, and works out their chances.
func ordered(out []place) []place {
	slices.SortFunc(out, func(a, b place) int { return cmp.Compare(b.log, a.log) })
	all := 0.0
	for _, s := range out {
		all += math.Exp(s.log - out[0].log)
	}
	for i, s := range out {
		out[i].chance = math.Exp(s.log-out[0].log) / all
	}
	return out
}

// peaks returns the places from lo to hi that no other within 30 ms exceeds.
func peaks(x []float64, lo, hi int) []int {
	const width = int(oneMeeting / grid)
	var out []int
	for i := lo; i <= hi; i++ {
		if x[i] == slices.Max(x[max(0, i-width):min(len(x), i+width+1)]) && (len(out) == 0 || i-out[len(out)-1] > width) {
			out = append(out, i)
		}
	}
	return out
}
