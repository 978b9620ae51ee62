package follow

import (
	"math"
	"slices"

	"drylane/show/timebase"
)

// A rateFinder finds the rate of code. How many frames are counted to a second is
// told by the drop flag, or by the code itself, or where a second turns over;
// before that by the time a frame takes, if it is near enough to one count's. What
// is 0.1 % apart is told by the time that frames take over a stretch that runs on.
type rateFinder struct {
	named   timebase.Rate // 0 when none was
	stretch float64       // seconds
	drop    bool
	turned  int           // the count as seen or told; 0 if it was not yet
	guessed int           // ... as the length of a frame suggests
	pulled  timebase.Rate // told from its neighbour
}

const (
	// nearCount is how near to a count frames must come to suggest it. 24 and 25
	// are 4 % apart.
	nearCount = 0.02
	// nearRate is how near to a rate frames must come to be of it and not of the
	// one 0.1 % away: two clocks that are 100 ppm off leave room for as much again.
	nearRate = 250e-6
	// slowest and fastest are the speeds at which a rate is still that rate.
	slowest, fastest = 0.88, 1.12
)

var counts = []int{24, 25, 30}

// candidates are the counts by which a label may be the next one.
func (r *rateFinder) candidates() []int {
	for i, n := range counts {
		if n == r.turned {
			return counts[i : i+1]
		}
	}
	return counts
}

func (r *rateFinder) count() int {
	switch {
	case r.named != 0:
		return r.named.Count()
	case r.drop:
		return 30 // the only count that leaves labels out
	case r.turned != 0:
		return r.turned
	}
	return r.guessed
}

// saw learns from a label that follows on another at once; fps is how many frames
// the second takes as long as one of them.
func (r *rateFinder) saw(a, b Label, fps float64) {
	r.drop = b.Drop
	if b.Count != 0 {
		r.turned = b.Count
	} else if !b.Reverse && !b.Drop && b.F == 0 && between(timebase.Timecode{H: a.H, M: a.M, S: a.S}, timebase.Timecode{H: b.H, M: b.M, S: b.S}, 1) == 1 {
		if n := a.F + 1; slices.Contains(counts, n) {
			r.turned = n
		}
	}
	r.guess(b.F, fps)
}

// guess guesses the count, until a second turns over. A guess stands as long as no
// frame number is beyond it.
func (r *rateFinder) guess(frame int, fps float64) {
	if r.guessed > frame {
		return
	}
	was := r.guessed
	r.guessed = 0
	for _, n := range counts {
		if near := math.Abs(fps/float64(n)-1) < nearCount; n > frame && (near || was != 0 && r.guessed == 0) {
			r.guessed = n
		}
	}
}

// measured learns from a stretch that runs on: seconds long, at fps.
func (r *rateFinder) measured(seconds, fps float64) {
	if r.pulled != 0 || seconds < r.stretch {
		return
	}
	for _, x := range timebase.Rates {
		if x.Count() == r.count() && x.Drop() == r.drop && math.Abs(fps/x.FPS()-1) < nearRate {
			r.pulled = x
		}
	}
}

// forget forgets what belongs to one run of code.
func (r *rateFinder) forget() { r.pulled, r.turned, r.guessed = 0, 0, 0 }

// rate returns the rate as far as it is known, 0 if nothing is, and whether it is
// told from its neighbour.
func (r *rateFinder) rate() (x timebase.Rate, sure bool) {
	switch {
	case r.named != 0:
		return r.named, true
	case r.drop:
		return timebase.FPS2997Drop, true
	case r.pulled != 0 && r.pulled.Count() == r.count():
		return r.pulled, true
	}
	switch r.count() {
	case 24:
		return timebase.FPS24, false
	case 25:
		return timebase.FPS25, true
	case 30:
		return timebase.FPS30, false
	}
	return 0, false
}

// fits reports whether a label and its speed are of the rate.
func (r *rateFinder) fits(l Label, fps float64) bool {
	x, _ := r.rate()
	if x == 0 {
		return true // nothing is known yet
	}
	speed := fps / x.FPS()
	return l.Drop == x.Drop() && l.F < x.Count() && speed > slowest && speed < fastest &&
		(r.turned == 0 || r.turned == x.Count())
}
