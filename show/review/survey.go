package review

import (
	"math"
	"slices"
	"time"
)

// mostMoments is enough of them for a search.
const mostMoments = 200

// survey finds where the moments of a whole list may belong. It returns the fit,
// the music under the taste that goes with it best, and the curve then.
func (r *review) survey(moments []time.Duration) (Fit, *train, Curve) {
	thin := thinned(moments, mostMoments)
	trains := r.keenest(thin)
	f := Fit{Moments: len(moments)}
	best, curve := trains[0], Curve{}
	for _, t := range trains {
		if c := t.curve(thin, 0); len(curve.Score) == 0 || slices.Max(c.Score) > slices.Max(curve.Score) {
			best, curve = t, c
		}
	}
	if len(moments) < fewest || len(r.music.Accents) < fewest {
		return f, best, curve
	}
	wide := r.fits(thin, far, trains)
	f.settle(r.places(thin, r.sizes(thin), wide, ofList), r.belongs(thin, wide, trains))
	f.Shift, f.Met = best.refine(moments, f.Shift)
	return f, best, curve
}

// keenest returns the trains of the scatter under which the moments fit best.
func (r *review) keenest(moments []time.Duration) []*train {
	var best []*train
	top := math.Inf(-1)
	for _, scatter := range scatters {
		trains := r.of(scatter)
		if v := slices.Max(trains[0].taken(moments, Reach, r.Ear)); v > top {
			best, top = trains, v
		}
	}
	return best
}

// The list played faster or slower by these parts is what a list for other music is
// like: its cues are as even, but not by this music.
var otherPaces = [...]float64{0.91, 0.94, 0.97, 1.032, 1.063, 1.094}

// How much better, in nats a moment, a list fits the music that it belongs to than
// others do: measured, 0.6 and more against 0.3 and less.
const (
	ownPace  = 0.45
	paceStep = 0.05
)

// belongs is the chance that the moments have to do with this music at all. Music
// at the very pace of this one cannot be told from it by this.
func (r *review) belongs(moments []time.Duration, wide []float64, trains []*train) float64 {
	middle, reach := len(wide)/2, int(Reach/grid)
	own := slices.Max(wide[middle-reach : middle+reach+1])
	var others []float64
	at := make([]time.Duration, len(moments))
	for _, pace := range otherPaces {
		for i, m := range moments {
			at[i] = time.Duration(float64(m) * pace)
		}
		others = append(others, slices.Max(r.fits(at, Reach, trains)))
	}
	slices.Sort(others)
	// One pace may be this music's by a ratio: 80 beats for 85, say.
	best := others[len(others)-2]
	return 1 / (1 + math.Exp(-(own-best-ownPace)/paceStep))
}

// thinned keeps at most some moments, evenly.
func thinned(moments []time.Duration, most int) []time.Duration {
	every := (len(moments) + most - 1) / most
	var out []time.Duration
	for i := 0; i < len(moments); i += every {
		out = append(out, moments[i])
	}
	return out
}
