package drift

import (
	"math"
	"time"
)

// An apartLane is one lane that is late or early while the others agree.
type apartLane struct {
	Name string
	// Shift is how much later than the others; positive late.
	Shift time.Duration
	// Late is the lane's own offset.
	Late time.Duration
}

// findApart returns the lane that stands apart from all others by a nudge or
// more beyond chance (5 % over all lanes asked), or nil. If more than one
// does, the one that does by most is meant; between two lanes it is the one
// further from the music.
func (a *analysis) findApart(f *fitted) *apartLane {
	level := 1 - (1-confidence)/float64(max(len(a.lanes), 1))
	var best *apartLane
	for _, lane := range a.lanes {
		own := residuals(f.pairs, func(p Pair) bool { return a.only(p, lane) })
		rest := residuals(f.pairs, func(p Pair) bool { return !a.inLane(p, lane) })
		b := shiftBetween(own, rest, level)
		if b.level == 0 || b.low <= 0 && b.high >= 0 || math.Abs(b.centre) < 0.75*NudgeStep.Seconds() {
			continue
		}
		l := &apartLane{lane, seconds(b.centre), seconds(median(own))}
		if best == nil || l.further(best) {
			best = l
		}
	}
	return best
}

func (l *apartLane) further(than *apartLane) bool {
	if d := l.Shift.Abs() - than.Shift.Abs(); d != 0 {
		return d > 0
	}
	return l.Late.Abs() > than.Late.Abs()
}

// residuals returns those of the pairs that count and are kept, in seconds.
func residuals(pairs []Pair, keep func(Pair) bool) []float64 {
	var out []float64
	for _, p := range pairs {
		if p.counts() && keep(p) {
			out = append(out, p.Residual.Seconds())
		}
	}
	return out
}
