package review

import (
	"math"
	"slices"
	"time"
)

// far is how far to each side a list is moved to learn how it fits where it
// certainly does not belong, and apartFrom how near no such place may lie.
const (
	far       = 20 * time.Second
	apartFrom = 2 * Reach
)

// tasteWeight is what the moments of a list together count for, in moments, when
// the list is asked which taste it has: its cues follow one habit.
const tasteWeight = 30.0

// taken returns the mean worth of the moments at every shift up to half either way,
// those moments left out that lie before the first accent or behind the last. At
// least a quarter of them counts.
func (t *train) taken(moments []time.Duration, half time.Duration, e *Ear) []float64 {
	return e.taken(t.worth, moments, half)
}

// taken returns the mean of what figure, given at multiples of grid, is for the moments
// at every shift, as that of a train does.
func (e *Ear) taken(figure []float32, moments []time.Duration, half time.Duration) []float64 {
	n := int(half / grid)
	out, ends := make([]float64, 2*n+1), make([]int, 2*n+2)
	lo := max(0, int((e.first-meets)/grid))
	hi := min(len(figure)-1, int((e.last+meets)/grid))
	for _, m := range moments {
		at := int(m/grid) + n // its worth at out[i] is worth[at-i]
		from, to := max(0, at-hi), min(len(out)-1, at-lo)
		if from > to {
			continue
		}
		ends[from]++
		ends[to+1]--
		part := figure[at-to : at-from+1]
		for k, w := range part {
			out[to-k] += float64(w)
		}
	}
	count := 0
	for i := range out {
		count += ends[i]
		out[i] /= float64(max(count, len(moments)/4, 1))
	}
	return out
}

// fits returns how well the moments fit at every shift up to half either way, in
// nats a moment, whatever taste the list has.
func (e *Ear) fits(moments []time.Duration, half time.Duration, trains []*train) []float64 {
	n := min(tasteWeight, float64(len(moments)))
	var out []float64
	for _, t := range trains {
		c := t.taken(moments, half, e)
		if out == nil {
			out = make([]float64, len(c))
		}
		for i, v := range c {
			out[i] += math.Exp(n * v)
		}
	}
	for i, v := range out {
		out[i] = math.Log(v/float64(len(trains))) / n
	}
	return out
}

// Periods that are looked for.
const (
	shortestPeriod = 250 * time.Millisecond
	longestPeriod  = 9 * time.Second
	// asGood is how good a period must be against the best to be taken in its
	// place for being shorter.
	asGood = 0.93
)

// period returns by how much a list can be moved to fit much the same again, in
// steps of the curve and parts of them; the longest that is looked for if there is
// none.
func period(curve []float64) float64 {
	lo, hi := int(shortestPeriod/grid), int(longestPeriod/grid)
	again := autocorrelation(curve, hi+1)
	top := slices.Max(again[lo:])
	for lag := lo + 1; lag < hi; lag++ {
		if again[lag] >= asGood*top && again[lag] >= again[lag-1] && again[lag] >= again[lag+1] {
			return refined(again, lag)
		}
	}
	return float64(hi)
}

// autocorrelation returns how alike what stands above the mean of a curve is to
// itself, so many steps on, for all below n.
func autocorrelation(curve []float64, n int) []float64 {
	mean := 0.0
	for _, v := range curve {
		mean += v / float64(len(curve))
	}
	above := make([]float64, len(curve))
	for i, v := range curve {
		above[i] = max(0, v-mean)
	}
	out := make([]float64, n)
	for lag := range out {
		// Every other step is enough: a peak is several wide.
		for i := 0; i+lag < len(above); i += 2 {
			out[lag] += above[i] * above[i+lag]
		}
		out[lag] /= float64(len(curve) - lag)
	}
	return out
}

// refined returns the period near lag whose multiples fit best.
func refined(again []float64, lag int) float64 {
	best, most := float64(lag), 0.0
	for p := float64(lag) - 1; p <= float64(lag)+1; p += 0.05 {
		sum := 0.0
		for k := 1; int(math.Round(float64(k)*p)) < len(again); k++ {
			sum += again[int(math.Round(float64(k)*p))]
		}
		if sum > most {
			best, most = p, sum
		}
	}
	return best
}

// leastSpread is the least that fits are taken to vary by from period to period,
// in nats a moment.
const leastSpread = 0.03

// standsOut returns by how many standard deviations the list fits better at place i
// of a wide curve than whole periods away, where it does not belong: how strong the
// evidence is that does not repeat.
func standsOut(curve []float64, i int, period float64) float64 {
	var away []float64
	most := int(float64(len(curve)) / period)
	for k := -most; k <= most; k++ {
		step := int(math.Round(float64(k) * period))
		if j := i + step; time.Duration(max(step, -step))*grid >= apartFrom && j >= 0 && j < len(curve) {
			// The period is not known to the step.
			away = append(away, slices.Max(curve[max(0, j-3):min(len(curve), j+4)]))
		}
	}
	if len(away) < 2 {
		return 0
	}
	mean, spread := 0.0, 0.0
	for _, v := range away {
		mean += v / float64(len(away))
	}
	for _, v := range away {
		spread += (v - mean) * (v - mean) / float64(len(away)-1)
	}
	return (curve[i] - mean) / max(math.Sqrt(spread), leastSpread)
}

// unrepeated is the log of how much likelier it is to stand out by z for a place
// where the list belongs than for one where it does not: there z is spread about 0,
// here about a value that is 0 for a list that has no such evidence, and may be
// large.
func unrepeated(z float64) float64 {
	z = min(z, 40)
	sum := 0.0
	for _, m := range [...]float64{1, 2, 4, 8} {
		sum += math.Exp(m*z - m*m/2)
	}
	return math.Log(0.4 + 0.6*sum/4)
}
