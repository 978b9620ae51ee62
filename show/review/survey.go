package review

import (
	"math"
	"slices"
	"time"
)

// mostMoments is enough of them for a search.
const mostMoments = 400

// survey fits the moments of a whole list under every taste. It returns the
// fit, the music under the taste that goes with it best, and the curve then.
func (r *review) survey(moments []time.Duration) (Fit, *train, Curve) {
	thin := thinned(moments, mostMoments)
	n := float64(len(moments))
	var logs []float64 // of all tastes together
	var best *train
	var curve Curve
	for _, scatter := range scatters {
		for _, like := range tastes(scatter) {
			t := newTrain(r.music, like, nil)
			c := t.curve(thin, 0)
			if best == nil || slices.Max(c.Score) > slices.Max(curve.Score) {
				best, curve = t, c
			}
			if logs == nil {
				logs = make([]float64, len(c.Score))
				for i := range logs {
					logs[i] = math.Inf(-1)
				}
			}
			for i, s := range c.Score {
				logs[i] = addLogs(logs[i], n*s)
			}
		}
	}
	for i := range logs {
		off := curve.Shift(i).Seconds() / inPlaceScatter.Seconds()
		logs[i] += likely(curve.Shift(i)) + inPlace*math.Exp(-off*off/2) - math.Log(float64(len(scatters)*len(tastes(0))))
	}
	f := Fit{Moments: len(moments)}
	if len(moments) < fewest {
		return f, best, curve
	}
	f.settle(best, moments, curve, logs)
	f.Confidence = min(f.Confidence, 1-r.luck(thin, best.taste.scatter))
	return f, best, curve
}

// addLogs is the log of the sum of what two logs stand for.
func addLogs(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	return a + math.Log1p(math.Exp(b-a))
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
