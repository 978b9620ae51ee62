// Package retime moves the cues of a cue list against the music: all of them,
// those of a position, those of a section, by a shift or by taking out a
// growing error. It does the sums and says what is wrong with the result;
// writing it is up to the caller.
package retime

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"drylane/show"
)

// A Spec says which cues move and how far. A cue whose effect is at t is moved
// earlier by
//
//	Shift + (t - From) * Rate / 1e9
//
// rounded to whole milliseconds, the finest that a cue list holds.
type Spec struct {
	Shift time.Duration // positive = cues EARLIER
	// Rate takes out a growth of the drift of so many parts in 1e9 of the time
	// since From; positive where the cues come later and later.
	Rate     int64
	Position string // only its cues; empty for all
	// From and Until bound the effects that move: From <= t < Until. Until 0
	// is the end of the show.
	From, Until time.Duration
}

// MaxRate bounds the rate either way: a tenth. No clock is that far off.
const MaxRate = 100_000_000

// RateOf is the rate of so many parts per million.
func RateOf(ppm float64) (int64, error) {
	const most = MaxRate / 1000
	if !(math.Abs(ppm) <= most) { // also false for NaN
		return 0, fmt.Errorf("found a rate of %g ppm; wanted at most %d either way", ppm, most)
	}
	return int64(math.Round(ppm * 1000)), nil
}

// picks reports whether the spec moves the cue.
func (s Spec) picks(c show.Cue) bool {
	return (s.Position == "" || c.Position == s.Position) && c.EffectAt >= s.From && (s.Until == 0 || c.EffectAt < s.Until)
}

// earlier is how much earlier a picked cue comes.
func (s Spec) earlier(c show.Cue) time.Duration {
	// At most 24 h in ms times a tenth in 1e9 is 8.64e15: no overflow.
	since := (c.EffectAt - s.From).Milliseconds()
	growth := time.Duration(roundDiv(since*s.Rate, 1_000_000_000)) * time.Millisecond
	return s.Shift.Round(time.Millisecond) + growth
}

// roundDiv is a/b to the nearest integer, halves away from zero; b > 0.
func roundDiv(a, b int64) int64 {
	if a < 0 {
		return -roundDiv(-a, b)
	}
	return (a + b/2) / b
}

// A Change is one cue that moves.
type Change struct {
	Cue show.Cue      // as it was
	To  time.Duration // its new effect time
}

// Earlier is how much earlier the cue comes; negative for later.
func (c Change) Earlier() time.Duration { return c.Cue.EffectAt - c.To }

// A Result is a cue list after the move.
type Result struct {
	Cues     []show.Cue // all of them, in firing order
	Changes  []Change   // in the order of the cue list's lines
	Problems show.Problems
}

// Apply moves the cues of s for music of the given length. Every spec picks
// its cues by the times they have in s, and all moves of a cue add up; s is not
// changed. The result must not be used if Problems.Stop(): an ignition would
// come before the music, or after its end, or cues of one module would swap.
func Apply(s *show.Show, length time.Duration, specs ...Spec) *Result {
	moved := slices.Clone(s.Cues)
	r := &Result{}
	for i, c := range s.Cues {
		var by time.Duration
		for _, spec := range specs {
			if spec.picks(c) {
				by += spec.earlier(c)
			}
		}
		if moved[i].EffectAt -= by; by != 0 {
			r.Changes = append(r.Changes, Change{c, moved[i].EffectAt})
		}
	}
	slices.SortStableFunc(r.Changes, func(a, b Change) int { return cmp.Compare(a.Cue.Line, b.Cue.Line) })
	r.Problems = check(s, moved, length)
	r.Cues = moved
	slices.SortStableFunc(r.Cues, func(a, b show.Cue) int {
		return cmp.Or(cmp.Compare(a.IgniteAt(), b.IgniteAt()), cmp.Compare(a.Line, b.Line))
	})
	return r
}
