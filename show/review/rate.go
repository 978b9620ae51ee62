package review

import (
	"math"
	"slices"
	"time"
)

// A line is how late the list is along the show.
type line struct {
	shift time.Duration // up to from
	from  time.Duration
	slope float64 // seconds a second, behind from
}

// at is the lateness at a moment of the list.
func (l line) at(t time.Duration) time.Duration {
	return l.shift + time.Duration(l.slope*float64(max(0, t-l.from)))
}

const (
	// scatter is what is allowed to a cue about its accent along a line, a
	// standard deviation.
	scatter  = 15 * time.Millisecond
	steepest = 1.1e-3 // growth that is looked for: a little over 1001/1000
	// steepDoubt is the log odds against a growth that moves the cues further
	// than their scatter, with all the slopes and shifts that are tried.
	steepDoubt = 12.0
	rateSure   = 4.5 // standard deviations asked before a growth is told
	leastMove  = 12 * time.Millisecond
)

// fitRate looks for a lateness that grows.
func (r *review) fitRate(rep *Report) {
	r.line = line{shift: rep.Show.Shift}
	moments := r.straightened()
	if len(moments) < 2*fewest {
		return
	}
	best := r.steep(moments, rep.Show.Shift)
	if best.slope == 0 && rep.Show.Confidence < nearly {
		return // there is no line to grow from
	}
	x, y := r.differences(moments, best)
	if l, ok := hinge(x, y); ok {
		r.line = l
		rep.Rate = Rate{Grows: true, From: l.from, Slope: l.slope}
	}
}

// steep returns the line through all of the show that the moments fit best; it
// is level unless another is clearly better than that, and than no line at all.
func (r *review) steep(moments []time.Duration, shift time.Duration) line {
	first, last := moments[0], moments[len(moments)-1]
	level := line{shift: shift, from: first}
	// From one slope to the next the ends move by no more than the scatter.
	step := 2 * scatter.Seconds() / max((last-first).Seconds(), 1)
	thin := thinned(moments, mostMoments)
	wide := r.train.taste
	wide.scatter = scatter
	t := newTrain(r.music, wide, nil)
	best, score := level, math.Inf(-1)
	for k := -int(steepest / step); k <= int(steepest/step); k++ {
		l := line{from: first, slope: float64(k) * step}
		turned := make([]time.Duration, len(thin))
		for i, m := range thin {
			turned[i] = m - l.at(m)
		}
		c := t.curve(turned, 0)
		if top := slices.Max(c.Score); top > score {
			l.shift = c.Shift(slices.Index(c.Score, top))
			best, score = l, top
		}
	}
	if t.alongLine(moments, best)-max(0, t.alongLine(moments, level)) < steepDoubt {
		return level
	}
	return best
}

// alongLine is what the moments are worth if they are late by a line, as odds in
// nats against cues that have nothing to do with the music.
func (t *train) alongLine(moments []time.Duration, l line) float64 {
	sum := 0.0
	for _, m := range moments {
		sum += t.at(m - l.at(m))
	}
	return sum * temper
}

// differences pairs moments and accents along a line: x is the moment, y by
// how much it is late, both in seconds.
func (r *review) differences(moments []time.Duration, l line) (x, y []float64) {
	for _, m := range moments {
		if i := r.train.partner(m - l.at(m)); i >= 0 {
			x = append(x, m.Seconds())
			y = append(y, (m - r.train.accents[i].At).Seconds())
		}
	}
	return x, y
}

// hinge fits a lateness that is level up to some moment and grows from there.
// ok is false where it does not clearly grow.
func hinge(x, y []float64) (l line, ok bool) {
	n := len(x)
	if n < 2*fewest {
		return l, false
	}
	flat := fitFrom(x, y, math.Inf(1))
	best := fitFrom(x, y, x[0])
	through := best
	const bends = 16
	for k := 1; k < bends*3/4; k++ {
		// A bend has to pay for being looked for.
		if f := fitFrom(x, y, x[k*n/bends]); f.errors < best.errors && f.errors < through.errors*(1-12/float64(n)) {
			best = f
		}
	}
	z := math.Sqrt(max(0, flat.errors-best.errors) / (best.errors/float64(n) + 1e-12))
	moved := math.Abs(best.slope) * (x[n-1] - best.from)
	l = line{shift: seconds(best.level), from: seconds(best.from), slope: best.slope}
	return l, z >= rateSure && moved >= leastMove.Seconds()
}

// A hinged line, in seconds.
type hinged struct{ from, level, slope, errors float64 }

// fitFrom fits a line that is level up to from, by least squares with errors
// counted no further than some way out.
func fitFrom(x, y []float64, from float64) hinged {
	h := hinged{from: from}
	far := 2 * scatter.Seconds()
	h.level = medianOf(y)
	for range 8 {
		var n, su, sy, suu, suy float64
		for i := range x {
			u := max(0, x[i]-from)
			if math.Abs(y[i]-h.level-h.slope*u) > far {
				continue
			}
			n, su, sy, suu, suy = n+1, su+u, sy+y[i], suu+u*u, suy+u*y[i]
		}
		if det := n*suu - su*su; det > 0 {
			h.slope = (n*suy - su*sy) / det
			h.level = (sy - h.slope*su) / n
		} else if n > 0 {
			h.level = sy / n
		}
	}
	for i := range x {
		e := min(math.Abs(y[i]-h.level-h.slope*max(0, x[i]-from)), far)
		h.errors += e * e
	}
	return h
}

func medianOf(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return s[len(s)/2]
}

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
