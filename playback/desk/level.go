package desk

import (
	"fmt"
	"math"

	"drylane/show/timebase"
)

// A Half is a level in steps of half a decibel: whole steps, so that no number
// of key presses adds up an error.
type Half int

// DB returns the level in decibels.
func (h Half) DB() float64 { return float64(h) / 2 }

// Factor returns the level as a factor: 1 at 0 dB.
func (h Half) Factor() float64 { return math.Pow(10, h.DB()/20) }

// String gives one decimal and no unit, as in "-20.0".
func (h Half) String() string { return fmt.Sprintf("%.1f", h.DB()) }

// Halves returns the level nearest to db.
func Halves(db float64) Half { return Half(math.Round(2 * db)) }

// The gains and levels that a check can be set to.
const (
	LowGain   Half = -40  // -20 dB, where both sides start
	LeastGain Half = -120 // -60 dB
	MostGain  Half = 0    // unless more is asked for
	OverGain  Half = 12   // +6 dB, when more is asked for

	StartLevel Half = -36  // -18 dBFS, a common alignment level of tones
	LeastLevel Half = -120 // -60 dBFS
)

// A ramp is a gain that goes to where it is set without a step, which would be
// heard as a click. beep's effects.Volume (v1.1.0) gives the same numbers as
// Half.Factor, but the one gain for both sides and, within a call, for all
// frames; its effects.Gain multiplies by 1+Gain, which at -90 dB is off by a part
// in 6e11 (measured).
type ramp struct {
	now, to float64
	left    int // frames until now is to
}

// set makes the gain go to v within n frames.
func (r *ramp) set(v float64, n int) { r.to, r.left = v, max(1, n) }

// next returns the gain of the next frame.
func (r *ramp) next() float64 {
	switch r.left {
	case 0:
		return r.to
	case 1:
		r.now = r.to
	default:
		r.now += (r.to - r.now) / float64(r.left)
	}
	r.left--
	return r.now
}

// apply scales part, the left with the first ramp and the right with the
// second, and returns how many samples reach beyond full scale.
func apply(gain *[2]ramp, part [][2]float64) (over int) {
	for i := range part {
		for ch := range gain {
			v := part[i][ch] * gain[ch].next()
			if v > 1 || v < -1 {
				over++
			}
			part[i][ch] = v
		}
	}
	return over
}

// peakOf returns the highest magnitude on either side.
func peakOf(part [][2]float64) (peak [2]float64) {
	for _, f := range part {
		peak[0] = max(peak[0], f[0], -f[0])
		peak[1] = max(peak[1], f[1], -f[1])
	}
	return peak
}

// frames is a position in a source; a check never mixes it with an output's
// own count.
type frames = timebase.Frame
