package calls

import (
	"math"
	"time"

	"github.com/faiface/beep"
)

// A Sound is one phrase, mono, at the rate of the track. Onset is the sample at
// which it is heard to begin.
type Sound struct {
	Samples []float64
	Onset   int
}

// A Speaker says phrases. The Sounds it gives are not changed by anyone.
type Speaker interface {
	Say(p Phrase) (Sound, error)
}

// OnsetPart is the part of its peak at which a sound is heard to begin: -6 dB.
// Of a spoken word that is the start of its vowel, near the moment at which a
// listener places the word (the "perceptual center" of Morton, Marcus and
// Frankish 1976, from memory), whatever consonant stands before it.
const OnsetPart = 0.5

// Onset returns the first of samples that reaches half of their peak; -1 for
// silence.
func Onset(samples []float64) int { return OnsetAt(samples, OnsetPart) }

// OnsetAt is Onset for another part of the peak.
func OnsetAt(samples []float64, part float64) int {
	top := peak(samples)
	for i, s := range samples {
		if top > 0 && math.Abs(s) >= part*top {
			return i
		}
	}
	return -1
}

func peak(samples []float64) float64 {
	top := 0.0
	for _, s := range samples {
		top = max(top, math.Abs(s))
	}
	return top
}

// How sounds are cut.
const (
	before = 5 * time.Millisecond   // of silence kept ahead of a sound
	gap    = 110 * time.Millisecond // of silence before what comes next
	fade   = 10 * time.Millisecond  // at a cut end
	hush   = 0.003                  // of the peak, below which an end is silence
)

// frames is how many samples fit into d.
func frames(d time.Duration, rate int) int { return beep.SampleRate(rate).N(d) }

// tidy takes the silence off both ends and brings the peak to level. It reports
// whether there was any sound.
func tidy(samples []float64, rate int, level float64) (Sound, bool) {
	first := OnsetAt(samples, hush)
	if first < 0 {
		return Sound{}, false
	}
	top := peak(samples)
	end := len(samples)
	for math.Abs(samples[end-1]) < hush*top {
		end--
	}
	start := max(0, first-frames(before, rate))
	out := make([]float64, end-start)
	for i, s := range samples[start:end] {
		out[i] = s / top * level
	}
	n := first - start
	for i := range n {
		out[i] *= ramp(i, n)
	}
	return cut(Sound{out, Onset(out)}, len(out), rate), true
}

// ramp rises from 0 at 0 to 1 at n.
func ramp(i, n int) float64 { return 0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(n)) }

// cut returns s with at most n samples, faded out.
func cut(s Sound, n, rate int) Sound {
	n = min(max(n, 0), len(s.Samples))
	out := append([]float64(nil), s.Samples[:n]...)
	length := min(frames(fade, rate), n)
	for i := range length {
		out[n-1-i] *= ramp(i, length)
	}
	return Sound{out, s.Onset}
}
