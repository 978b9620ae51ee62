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
	// temper is what a nat of worth counts for where all cues of a list are asked
	// at once: they repeat each other, as does music.
	temper = 0.7
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

// fitRate tells a lateness that grows, once what stands apart is out of the way.
func (r *review) fitRate(rep *Report) {
	r.line = line{shift: rep.Show.Shift, from: r.tilt.from, slope: r.tilt.slope}
	rep.Rate = Rate{}
	moments := r.straightened()
	if len(moments) < 2*fewest || !rep.Show.told() {
		return // there is no line to grow from: other music of nearly this pace, too, seems to grow
	}
	x, y := r.differences(moments, r.line)
	if l, ok := hinge(x, y); ok {
		r.line = l
		rep.Rate = Rate{Grows: true, From: l.from, Slope: l.slope}
	}
}

// steep returns the growth, from the first moment on, with which the moments fit
// the music best; it is none unless that is clearly better than none.
func (r *review) steep(moments []time.Duration) line {
	if len(moments) < 2*fewest || len(r.music.Accents) < fewest {
		return line{}
	}
	first, last := moments[0], moments[len(moments)-1]
	// From one slope to the next the ends move by no more than the scatter.
	step := 2 * scatter.Seconds() / max((last-first).Seconds(), 1)
	thin := thinned(moments, mostMoments)
	wide := r.train.taste
	wide.scatter = scatter
	t := newTrain(r.music, wide)
	best, score, level := line{from: first}, math.Inf(-1), 0.0
	turned := make([]time.Duration, len(thin))
	for k := -int(steepest / step); k <= int(steepest/step); k++ {
		l := line{from: first, slope: float64(k) * step}
		for i, m := range thin {
			turned[i] = m - l.at(m)
		}
		c := t.curve(turned, 0)
		top := slices.Max(c.Score) * float64(len(moments)) * temper
		if k == 0 {
			level = max(0, top)
		}
		if top > score {
			best, score = l, top
		}
	}
	if score-level < steepDoubt {
		return line{}
	}
	return best
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
		if f := fitFrom(x, y, x[k*n/bends]); f.errors < best.errors && f.errors < through.errors*(1-20/float64(n)) {
			best = f
		}
	}
	z := math.Sqrt(max(0, flat.errors-best.errors) / (best.errors/float64(n) + 1e-12))
	moved := math.Abs(best.slope) * (x[n-1] - best.from)
	if back := best.level - best.slope*x[0]; best.from == x[0] && math.Abs(back) <= scatter.Seconds() {
		// It passes through the start of the music, where what another rate does
		// begins: that no cue stands there before x[0] is no reason for x[0].
		best.from, best.level = 0, back
	}
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
