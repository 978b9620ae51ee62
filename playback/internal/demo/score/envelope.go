package score

import "math"

// A fall is a level that falls by a factor of e every so often, a sample at a
// time.
type fall struct{ level, factor float64 }

// falling returns a fall from level with a time constant of tau seconds.
func falling(level, tau float64) fall {
	return fall{level, math.Exp(-1 / (tau * Rate))}
}

func (f *fall) next() float64 {
	y := f.level
	f.level *= f.factor
	return y
}

// An adsr is an envelope in seconds: rise to 1, fall to the sustained level,
// and, when the note ends, fall to nothing.
type adsr struct {
	attack, decay, sustain, release float64
}

// shape returns the envelope of a note, from its start to the end of its
// release, with the note's force as its highest level.
func (e adsr) shape(n note) []float64 {
	held, rise := int(n.length), e.attack*Rate
	s := make([]float64, held+int(e.release*Rate))
	f := falling(1-e.sustain, e.decay)
	level := 0.0
	for i := range s {
		switch {
		case i < held && float64(i) < rise:
			level = float64(i) / rise
		case i < held:
			level = e.sustain + f.next()
		default:
			rest := 1 - float64(i-held)/float64(len(s)-held)
			s[i] = n.force * level * rest * rest
			continue
		}
		s[i] = n.force * level
	}
	return s
}
