package ltc

import (
	"math"

	"drylane/show/timebase"
)

// maxFaults is how many faults a Checker keeps; it counts them all.
const maxFaults = 1000

// A Checker follows frames and reports whether they run on. Its zero value is
// not ready for use: see NewChecker.
type Checker struct {
	rate        int
	first, last Frame
	run         Frame // where the present run without faults began
	runFrames   int64
	frames      int64
	spanFrames  int64   // labels passed in all runs that are over
	span        float64 // samples they took
	highest     int     // frame number seen
	votes       [31]int // by where the frame count was seen to turn over
	faults      []Fault
	faultCount  int
	quiet, hot  float64 // lowest and highest level
}

// NewChecker returns a Checker for frames of a stream of sampleRate samples a
// second. Its Add fits NewDecoder.
func NewChecker(sampleRate int) *Checker {
	return &Checker{rate: sampleRate, quiet: math.Inf(1), hot: math.Inf(-1)}
}

// Add takes the next frame found.
func (c *Checker) Add(f Frame) {
	c.frames++
	c.highest = max(c.highest, f.F)
	c.quiet, c.hot = min(c.quiet, f.Level), max(c.hot, f.Level)
	if c.frames == 1 {
		c.first, c.last, c.run = f, f, f
		if f.Reverse { // only once: should it turn round, that is a fault of its own
			c.note(Fault{Kind: Backwards, Sample: f.Sample(), Before: f.Timecode, After: f.Timecode})
		}
		return
	}
	c.vote(c.last, f)
	found := faults(c.last, f, c.count())
	if found == nil {
		c.runFrames++
	} else {
		c.closeRun()
		c.run = f
		c.note(found...)
	}
	c.last = f
}

// note counts faults, and keeps them as long as there are few.
func (c *Checker) note(found ...Fault) {
	c.faultCount += len(found)
	c.faults = append(c.faults, found[:min(len(found), maxFaults-len(c.faults))]...)
}

// closeRun adds up the run that ends with the last frame.
func (c *Checker) closeRun() {
	c.spanFrames += c.runFrames
	c.span += c.last.Start - c.run.Start
	c.runFrames = 0
}

// vote learns from a pair of neighbours at which count the seconds turn over.
func (c *Checker) vote(a, b Frame) {
	if a.Reverse {
		a, b = b, a
	}
	if a.Reverse != b.Reverse || math.Abs(math.Abs(b.Start-a.Start)-a.Length) > a.Length/4 {
		return
	}
	seconds := func(t timebase.Timecode) int64 { return t.Frames(1) }
	if a.Drop || b.Drop || b.F != 0 || mod(seconds(timebase.Timecode{H: b.H, M: b.M, S: b.S})-seconds(timebase.Timecode{H: a.H, M: a.M, S: a.S}), 86400) != 1 {
		return
	}
	c.votes[a.F+1]++
}

// count returns how many frames are counted to a second: as seen, or if no
// second has turned over yet, as the frame numbers and the speed suggest.
func (c *Checker) count() int {
	if c.last.Drop {
		return 30
	}
	fps := float64(c.rate) / c.last.Length
	best, most := 0, 0
	for _, n := range [...]int{24, 25, 30} {
		if c.votes[n] > most {
			best, most = n, c.votes[n]
		}
	}
	if best != 0 {
		return best
	}
	best = 30
	for _, n := range [...]int{24, 25} {
		if n > c.highest && math.Abs(fps/float64(n)-1) < math.Abs(fps/float64(best)-1) {
			best = n
		}
	}
	return best
}
