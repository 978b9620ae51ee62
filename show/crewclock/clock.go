package crewclock

import (
	"slices"
	"time"
)

// Tolerance is by how many parts in a million two clocks of computers can run apart:
// 100 either way, common practice for quartz, no source.
const Tolerance = 200

// A Clock is the lead's clock as it is known here. The zero Clock is not ready: make
// one with New.
type Clock struct {
	filter *Filter
	points []point // the best samples over time, the latest last
	rate   rate
	lastAt time.Duration
	anew   int // how often the clock began anew
}

// A point is a sample with a small delay: at that time by the own clock the offset
// was within half of the bound.
type point struct {
	at, offset, bound time.Duration
}

// A rate is by how much an offset grows.
type rate struct {
	ppm, bound float64 // bound is at most Tolerance
}

// How the rate is found: from points of the last minute or so, one of each stretch.
const (
	stretch  = 2 * time.Second
	mostKept = 32
	leastFor = 8 * time.Second // before that the rate is not told
)

// New returns a clock of which nothing is known.
func New() *Clock { return &Clock{filter: NewFilter(Tolerance), rate: rate{bound: Tolerance}} }

// Add takes a sample. One that cannot be true is left out, and false is returned. One
// that cannot be of the same clocks, as after a computer slept, begins anew.
func (c *Clock) Add(s Sample) bool {
	if !s.Whole() || s.Came < c.lastAt {
		return false
	}
	if r, ok := c.At(s.Came); ok && (s.Offset()-r.Offset).Abs() > s.Delay()/2+s.dispersion(Tolerance)+r.Bound {
		*c = Clock{filter: NewFilter(Tolerance), rate: rate{bound: Tolerance}, anew: c.anew + 1}
	}
	c.lastAt = s.Came
	c.filter.Add(s)
	c.keep(point{s.Came, s.Offset(), s.Delay()/2 + s.dispersion(Tolerance)})
	return true
}

// Anew is how often the clock began anew.
func (c *Clock) Anew() int { return c.anew }

// keep keeps the best point of each stretch, and finds the rate anew.
func (c *Clock) keep(p point) {
	if n := len(c.points); n > 0 && p.at/stretch == c.points[n-1].at/stretch {
		if p.bound >= c.points[n-1].bound {
			return
		}
		c.points[n-1] = p
	} else {
		c.points = append(c.points, p)
		c.points = c.points[max(0, len(c.points)-mostKept):]
	}
	c.rate = rateOf(c.points)
}

// rateOf is the rate between the best point of the older half and the best of the
// newer one, and its bound: each lies within its own, and they lie so far apart. A
// bound that is no better than what is known of all clocks says nothing.
func rateOf(points []point) rate {
	unknown := rate{bound: Tolerance}
	if len(points) < 2 {
		return unknown
	}
	better := func(a, b point) int { return int(a.bound - b.bound) }
	a, b := slices.MinFunc(points[:len(points)/2], better), slices.MinFunc(points[len(points)/2:], better)
	apart := float64(b.at - a.at)
	if b.at-a.at < leastFor {
		return unknown
	}
	r := rate{float64(b.offset-a.offset) / apart * 1e6, float64(a.bound+b.bound) / apart * 1e6}
	if r.bound >= Tolerance || max(r.ppm, -r.ppm) > Tolerance+r.bound {
		return unknown
	}
	return r
}

// A Reading is how the lead's clock stands to the own one at a moment.
type Reading struct {
	At     time.Duration // own clock
	Offset time.Duration // what has to be added to it
	Bound  time.Duration // ... which is wrong by no more than this, either way
	Delay  time.Duration // the smallest round trip
	Rate   float64       // by how many parts in a million the lead's clock is faster; 0 until known
	Rated  bool          // it is known
}

// At tells how the clocks stand at a moment by the own clock, no earlier than the
// latest sample. ok is false while nothing is known.
//
// The sample that is told by is the one whose bound is smallest at that moment: half
// its delay, and what the clocks can have parted by since.
func (c *Clock) At(now time.Duration) (r Reading, ok bool) {
	if c.filter.n == 0 {
		return r, false
	}
	r = Reading{At: now, Delay: c.filter.Delay(), Rate: c.rate.ppm, Rated: c.rate.bound < Tolerance, Bound: MaxDispersion * 1000}
	for _, s := range c.filter.stages[:c.filter.n] {
		since := now - s.at
		bound := s.delay/2 + s.fresh + growth(since, c.rate.bound)
		if bound < r.Bound {
			r.Bound = bound
			r.Offset = s.offset + time.Duration(float64(since)*c.rate.ppm/1e6)
		}
	}
	return r, true
}

// Lead is the lead's time at a moment by the own clock near the reading's.
func (r Reading) Lead(own time.Duration) time.Duration {
	return own + r.Offset + time.Duration(float64(own-r.At)*r.Rate/1e6)
}

// Own is the own time at a moment by the lead's clock: Own(Lead(t)) is t, but for
// rounding.
func (r Reading) Own(lead time.Duration) time.Duration {
	return r.At + time.Duration(float64(lead-r.At-r.Offset)/(1+r.Rate/1e6))
}
