package calls

import (
	"math"
	"time"
)

// Pips says phrases as pips:
//
//	warning  two low pips (500 Hz, 100 ms, 250 ms apart); three before a series
//	count    one high pip (1000 Hz, 100 ms)
//	word     one long high pip (1000 Hz, 500 ms)
//
// So a cue on its own is: low low ... high, high, high, HIGH, and the start of
// the long pip is the mark.
type Pips struct{ Rate int }

const (
	pipLevel  = 0.25 // -12 dBFS
	lowHz     = 500
	highHz    = 1000
	shortPip  = 100 * time.Millisecond
	longPip   = 500 * time.Millisecond
	pipApart  = 250 * time.Millisecond
	pipAttack = time.Millisecond
)

// Say implements Speaker.
func (p Pips) Say(phrase Phrase) (Sound, error) {
	switch phrase.Kind {
	case Count:
		return p.row(highHz, shortPip, 1), nil
	case Word:
		return p.row(highHz, longPip, 1), nil
	}
	return p.row(lowHz, shortPip, 2+min(phrase.N-1, 1)), nil
}

// row is n pips in a row.
func (p Pips) row(hz int, length time.Duration, n int) Sound {
	size := frames(length, p.Rate)
	samples := make([]float64, (n-1)*frames(pipApart, p.Rate)+size)
	attack := max(1, frames(pipAttack, p.Rate))
	for k := range n {
		at := k * frames(pipApart, p.Rate)
		for i := range size {
			turn := float64(hz*i%p.Rate) / float64(p.Rate)
			edge := ramp(min(i, size-1-i, attack), attack)
			samples[at+i] = pipLevel * edge * math.Sin(2*math.Pi*turn)
		}
	}
	return Sound{samples, Onset(samples)}
}
