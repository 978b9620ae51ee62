package drift

import (
	"math"
	"sort"
	"time"
)

// The scatters of a tap that an estimate allows for, and how likely each is
// before the taps are seen: from a trained musician's to a beginner's (Repp
// 2005: 2 % of the interval and at least twice that, so about 15 to 30 ms at a
// lively beat; more for accents that do not come at a beat).
var scatters = [...]struct {
	sd     time.Duration
	chance float64
}{
	{25 * time.Millisecond, 0.10},
	{35 * time.Millisecond, 0.15},
	{50 * time.Millisecond, 0.25},
	{70 * time.Millisecond, 0.20},
	{100 * time.Millisecond, 0.15},
	{140 * time.Millisecond, 0.15},
}

// The grid of shifts, either way from the model, that an estimate weighs.
const (
	fineStep  = 10 * time.Millisecond
	fineHalf  = 30
	fineShift = 2*fineHalf + 1
)

// A weighing is the log of the chance of one tap, against a stray, for each
// scatter and each shift from the model.
type weighing [len(scatters)][fineShift]float64

// fineOffset is the shift at place g of the fine grid, in seconds.
func fineOffset(g int) float64 { return float64(g-fineHalf) * fineStep.Seconds() }

// weigh weighs a tap at y seconds against all accents in reach. Pairs play no
// part in it: where two accents could be meant, both count, and where none is
// near the tap says nothing.
func weigh(y float64, t Tap, expected []placed) *weighing {
	last := scatters[len(scatters)-1].sd.Seconds()
	reach := fineOffset(fineShift-1) + 4*last
	lo := sort.Search(len(expected), func(i int) bool { return expected[i].at >= y-reach })
	var w weighing
	for _, p := range expected[lo:] {
		if p.at > y+reach {
			break
		}
		if p.takes(t) {
			w.addBell(p.at-y, p.share)
		}
	}
	for s := range w {
		for g, f := range w[s] {
			w[s][g] = math.Log(strayTaps + (1-strayTaps)*f)
		}
	}
	return &w
}

// addBell adds an accent that the model expects ahead seconds after the tap.
func (w *weighing) addBell(ahead, share float64) {
	for s := range w {
		sd := scatters[s].sd.Seconds()
		peak := share / (sd * math.Sqrt(2*math.Pi))
		for g := range w[s] {
			if z := (ahead - fineOffset(g)) / sd; math.Abs(z) < 5 {
				w[s][g] += peak * math.Exp(-z*z/2)
			}
		}
	}
}

// offsetOf combines weighings into the median and the central interval of the
// shift from the model, in seconds, whatever the scatter is.
func offsetOf(ws []*weighing, level float64) bound {
	var logs weighing
	top := math.Inf(-1)
	for s := range logs {
		for g := range logs[s] {
			logs[s][g] = math.Log(scatters[s].chance)
			for _, w := range ws {
				logs[s][g] += w[s][g]
			}
			top = max(top, logs[s][g])
		}
	}
	var chance [fineShift]float64
	var sum float64
	for g := range chance {
		for s := range logs {
			chance[g] += math.Exp(logs[s][g] - top)
		}
		sum += chance[g]
	}
	at := func(part float64) float64 { return quantileAt(chance[:], part*sum) }
	return bound{at(0.5), at((1 - level) / 2), at((1 + level) / 2), level}
}

// quantileAt returns the shift below which the chances sum to want; each is
// spread evenly over its step.
func quantileAt(chance []float64, want float64) float64 {
	for g, c := range chance {
		if want <= c {
			return fineOffset(g) + (want/c-0.5)*fineStep.Seconds()
		}
		want -= c
	}
	return fineOffset(len(chance) - 1)
}
