package review

import (
	"testing"
	"time"
)

// curveOf has peaks of so many nats at shifts, each two steps wide, and -1 elsewhere.
func curveOf(peaks map[time.Duration]float64) []float64 {
	out := make([]float64, 2*int(2*Reach/grid)+1)
	for i := range out {
		out[i] = -1
	}
	for shift, v := range peaks {
		i := len(out)/2 + int(shift/grid)
		out[i-1], out[i], out[i+1] = v-0.1, v, v-0.1
	}
	return out
}

// The rest fits by 1.5 nats at its beats, by 1 a beat away, and half a beat away, by
// 248 ms, either as well or not at all. A part that fits at 180 ms, and at 68 ms the other way,
// is late by 180 ms only if the rest tells the two apart.
func TestBesideRest(t *testing.T) {
	t.Parallel()
	const half = 248 * ms
	on := func(about time.Duration, beat, between float64) []float64 {
		return curveOf(map[time.Duration]float64{about - 2*half: beat - 0.5, about - half: between, about: beat, about + half: between, about + 2*half: beat - 0.5})
	}
	for name, c := range map[string]struct {
		part, rest []float64
		shift      time.Duration
		sure       bool
	}{
		"in place":           {on(0, 1.5, -0.5), on(0, 1.5, -0.5), 0, true},
		"late":               {on(180*ms, 1.5, -0.5), on(0, 1.5, -0.5), 180 * ms, true},
		"late, all alike":    {on(180*ms, 1.5, 1.5), on(0, 1.5, 1.5), 180 * ms, false},
		"early by the least": {on(-100*ms, 1.5, 0), on(0, 1.5, 0), -100 * ms, true},
	} {
		found := besideRest([][]float64{c.part}, [][]float64{c.rest}, 1.0/20+1.0/100)
		sure := found[0].chance >= Sure
		if sure != c.sure || c.sure && found[0].shift != c.shift {
			t.Errorf("%s: %v at %.3f; want %v, sure: %v", name, found[0].shift, found[0].chance, c.shift, c.sure)
		}
	}
}
