package review

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// A place is a shift at which a list may belong.
type place struct {
	shift  time.Duration
	prior  float64 // the log of how likely it is before the music is heard
	log    float64 // of its chance, but for a constant
	chance float64
}

// oneMeeting is how far a cue may lie from an accent that it is counted for, when
// places are compared.
const oneMeeting = 30 * time.Millisecond

// What the evidence for a place counts, in nats. It was fitted by conditional logit
// to lists for music rendered from scores (package planted, the half to tune by).
//
// The first three are what repeats: a list that goes by the beat meets the same
// kind of accent at every beat, so that all its cues together are one observation
// of the habit of whoever made it, and count for about as much whether they are
// fifty or five hundred. What does not repeat counts in full.
const (
	perMeeting  = 20.5 // for all moments on an accent against none
	perStrength = 21.7 // for the strongest accents against the weakest
	perBeat     = 2.3  // for all moments on a beat against none
	fewMoments  = 40.0 // so many moments count half
)

// weigh returns the log of the chance of the moments at a shift, but for a constant,
// without the prior and what does not repeat.
func (e *Ear) weigh(moments []time.Duration, shift time.Duration) float64 {
	met, strength, beats := 0.0, 0.0, 0.0
	t := train{accents: e.music.Accents}
	for _, m := range moments {
		if off, ok := e.toBeat(m - shift); ok && off.Abs() <= within {
			beats++
		}
		best := -1.0
		for i := t.first(m - shift - oneMeeting); i < len(t.accents) && t.accents[i].At <= m-shift+oneMeeting; i++ {
			best = max(best, e.strength[i])
		}
		if best >= 0 {
			met++
			strength += best
		}
	}
	n := float64(len(moments))
	if n == 0 {
		return 0
	}
	return n / (n + fewMoments) * (perMeeting*met/n + perStrength*strength/max(met, 1) + perBeat*beats/n)
}

// places returns where the moments may belong, likeliest first, with the chance of
// each among all. wide is their curve to far either way.
func (e *Ear) places(moments []time.Duration, wide []float64, p prior) []place {
	middle, reach := len(wide)/2, int(Reach/grid)
	every := period(wide)
	var out []place
	for _, i := range peaks(wide, middle-reach, middle+reach) {
		s := place{shift: time.Duration(i-middle) * grid}
		s.prior = p.log(s.shift)
		s.log = s.prior + e.weigh(moments, s.shift) + unrepeated(standsOut(wide, i, every))
		out = append(out, s)
	}
	return ordered(out)
}

// caution is what the logs are taken by: without it, of what had a chance of 0.95 to
// 0.98 no more than 84 in 100 was right on the half to tune by.
const caution = 0.85

// ordered puts places in order, likeliest first, and works out their chances.
func ordered(out []place) []place {
	slices.SortFunc(out, func(a, b place) int { return cmp.Compare(b.log, a.log) })
	all := 0.0
	for _, s := range out {
		all += math.Exp(caution * (s.log - out[0].log))
	}
	for i, s := range out {
		out[i].chance = math.Exp(caution*(s.log-out[0].log)) / all
	}
	return out
}

// peaks returns the places from lo to hi that no other within 30 ms exceeds.
func peaks(x []float64, lo, hi int) []int {
	const width = int(oneMeeting / grid)
	var out []int
	for i := lo; i <= hi; i++ {
		if x[i] == slices.Max(x[max(0, i-width):min(len(x), i+width+1)]) && (len(out) == 0 || i-out[len(out)-1] > width) {
			out = append(out, i)
		}
	}
	return out
}
