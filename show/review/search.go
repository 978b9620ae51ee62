package review

import (
	"math"
	"slices"
	"time"
)

// Reach is the largest shift either way that is looked for.
const Reach = 5 * time.Second / 2

// fewest is the least number of moments that a fit is made of.
const fewest = 8

// temper is what a nat of worth counts for: cues of one show repeat each
// other, as does music, so that they tell less than as many free ones.
const temper = 0.7

// smallShifts is the scale, in seconds, by which small shifts are likelier.
const smallShifts = 2.0

// A Curve is the mean worth of the cues at each shift, in nats: 0 is what cues
// put anywhere are worth, above it they meet accents.
type Curve struct {
	From, Step time.Duration
	Score      []float64
}

// Shift is the shift at place i of the curve.
func (c Curve) Shift(i int) time.Duration { return c.From + time.Duration(i)*c.Step }

// curve tries all shifts within reach of centre. A shift is what the cues are
// late by: a cue at t then belongs to the music at t less the shift.
func (t *train) curve(moments []time.Duration, centre, reach time.Duration) Curve {
	n := int(reach / grid)
	c := Curve{From: centre - time.Duration(n)*grid, Step: grid, Score: make([]float64, 2*n+1)}
	if len(moments) == 0 {
		return c
	}
	for i := range c.Score {
		for _, m := range moments {
			c.Score[i] += t.at(m - c.Shift(i))
		}
		c.Score[i] /= float64(len(moments))
	}
	return c
}

// chooseTaste takes the taste under which the moments fit best.
func (t *train) chooseTaste(moments []time.Duration) {
	best, score := 0, math.Inf(-1)
	for k := range tastes {
		t.taste = k
		if top := slices.Max(t.curve(moments, 0, Reach).Score); top > score {
			best, score = k, top
		}
	}
	t.taste = best
}

// fit finds the shift within reach of centre that the moments fit best.
// Small shifts from the centre are a little likelier.
func (t *train) fit(moments []time.Duration, centre, reach time.Duration) Fit {
	f := Fit{Shift: centre, Moments: len(moments)}
	if len(moments) < fewest {
		return f
	}
	c := t.curve(moments, centre, reach)
	chances := make([]float64, len(c.Score))
	n := float64(len(moments)) * temper
	for i, s := range c.Score {
		chances[i] = n*s - (c.Shift(i)-centre).Abs().Seconds()/smallShifts
	}
	best := slices.Index(chances, slices.Max(chances))
	f.noLuck = 1 - t.luck(moments, centre)
	f.Confidence = min(share(chances, best), f.noLuck)
	f.Shift, f.Met = t.refine(moments, c.Shift(best))
	return f
}

// share is the part of all chances, given as logs, that lies about the best.
func share(logs []float64, best int) float64 {
	var all, near float64
	about := int(2 * scatter / grid)
	for i, v := range logs {
		p := math.Exp(v - logs[best])
		all += p
		if i >= best-about && i <= best+about {
			near += p
		}
	}
	return near / all
}

// looks is how many random places luck looks at.
const looks = 40

// luck is the chance that cues which have nothing to do with this place in the
// music score so well: the same cues are moved to other places all over it,
// around its end, and may there look for their best shift as far, and for
// their taste.
func (t *train) luck(moments []time.Duration, centre time.Duration) float64 {
	length := time.Duration(len(t.worth[0])) * grid
	if length < 6*Reach {
		return 1
	}
	thin := thinned(moments)
	score := t.bestAt(thin, length-centre)
	better := 1
	for k := range looks {
		// Evenly over the music, but for what was searched already.
		by := 2*Reach + (length-4*Reach)*time.Duration(k)/(looks-1)
		if t.bestAt(thin, length-centre+by) >= score {
			better++
		}
	}
	return float64(better) / (looks + 1)
}

// bestAt is the best score of moments moved by up to Reach more or less than
// by, which is no less than Reach.
func (t *train) bestAt(moments []time.Duration, by time.Duration) float64 {
	n := len(t.worth[0])
	places := make([]int, len(moments))
	for i, m := range moments {
		places[i] = int((max(m, 0)+by-Reach)/grid) % n
	}
	best := math.Inf(-1)
	for range int(Reach / grid) {
		var sums [len(tastes)]float64
		for i, at := range places {
			for k := range tastes {
				sums[k] += float64(t.worth[k][at])
			}
			if places[i] += 2; places[i] >= n {
				places[i] -= n
			}
		}
		best = max(best, slices.Max(sums[:]))
	}
	return best / float64(len(moments))
}

// thinned keeps at most some hundred moments, evenly: enough for a search.
func thinned(moments []time.Duration) []time.Duration {
	const most = 400
	every := (len(moments) + most - 1) / most
	var out []time.Duration
	for i := 0; i < len(moments); i += every {
		out = append(out, moments[i])
	}
	return out
}

// gain is by how much more the moments are worth at one shift than at another,
// as odds in nats.
func (t *train) gain(moments []time.Duration, shift, other time.Duration) float64 {
	sum := 0.0
	for _, m := range moments {
		sum += t.at(m-shift) - t.at(m-other)
	}
	return sum * temper
}

// refine returns the median difference of the moments that meet an accent at
// the shift, and their number.
func (t *train) refine(moments []time.Duration, shift time.Duration) (time.Duration, int) {
	var d []time.Duration
	for _, m := range moments {
		if a, ok := t.partner(m - shift); ok {
			d = append(d, m-a.At)
		}
	}
	if len(d) == 0 {
		return shift, 0
	}
	slices.Sort(d)
	return d[len(d)/2], len(d)
}
