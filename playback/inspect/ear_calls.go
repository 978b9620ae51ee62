package inspect

import (
	"fmt"
	"math"
	"time"

	"drylane/show/timebase"
)

// A callsEar holds the loudness of a side about each word of its calls against
// that of the show's own file, which has the same voice.
type callsEar struct {
	words         []time.Duration
	wanted, heard envelope
}

const (
	// Around a word, what is compared.
	beforeWord = 300 * time.Millisecond
	afterWord  = 500 * time.Millisecond
	// wordReach is how far from its place a word may be heard: how late a
	// whole file may be before it is refused.
	wordReach = 100 * time.Millisecond
	// alike is the least correlation of two envelopes that are of one word.
	alike = 0.7
	// soft is by what factor a word may be softer than in the show's file.
	soft = 4
)

func (e *callsEar) hear(samples []float64) { e.heard.hear(samples) }

func (e *callsEar) fault() string {
	lost, first := 0, time.Duration(0)
	for _, at := range e.words {
		if e.finds(at) {
			continue
		}
		if lost++; lost == 1 {
			first = at
		}
	}
	if lost == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d calls are not heard where the plan has them, the first at %s", lost, len(e.words), timebase.ClockMillis(first))
}

// finds reports whether the word at a time is heard near there.
func (e *callsEar) finds(at time.Duration) bool {
	from, to := int((at-beforeWord)/hop), int((at+afterWord)/hop)
	wanted := e.wanted.part(from, to)
	for lag := -int(wordReach / hop); lag <= int(wordReach/hop); lag++ {
		heard := e.heard.part(from+lag, to+lag)
		if r, gain := correlation(wanted, heard); r >= alike && gain*soft >= 1 {
			return true
		}
	}
	return false
}

// hop is the step of an envelope.
const hop = 5 * time.Millisecond

// An envelope is the loudness of a side over time: the root mean square of
// each hop. It does not depend on the sample rate.
type envelope struct {
	rate   int
	at     int64 // frames heard
	sum    float64
	n      int
	values []float64
}

func (e *envelope) hear(samples []float64) {
	for _, s := range samples {
		e.sum, e.n = e.sum+s*s, e.n+1
		if e.at++; e.at >= int64(timebase.FrameAt(time.Duration(len(e.values)+1)*hop, e.rate)) {
			e.values = append(e.values, math.Sqrt(e.sum/float64(e.n)))
			e.sum, e.n = 0, 0
		}
	}
}

// fault implements ear: an envelope judges nothing.
func (e *envelope) fault() string { return "" }

// part returns hops from to to, silence where there are none.
func (e *envelope) part(from, to int) []float64 {
	list := make([]float64, to-from)
	if lo, hi := max(from, 0), min(to, len(e.values)); lo < hi {
		copy(list[lo-from:], e.values[lo:hi])
	}
	return list
}

// correlation returns how alike a and b are, -1 to 1, and how large b's changes
// are against those of a. Where one of them does not change both are 0.
func correlation(a, b []float64) (r, gain float64) {
	var sumA, sumB float64
	for i := range a {
		sumA, sumB = sumA+a[i], sumB+b[i]
	}
	n := float64(len(a))
	var aa, bb, ab float64
	for i := range a {
		x, y := a[i]-sumA/n, b[i]-sumB/n
		aa, bb, ab = aa+x*x, bb+y*y, ab+x*y
	}
	if aa == 0 || bb == 0 {
		return 0, 0
	}
	return ab / math.Sqrt(aa*bb), math.Sqrt(bb / aa)
}
