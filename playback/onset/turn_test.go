package onset

import (
	"math"
	"testing"
)

// played strikes chords every half second from 1 s on, as loud as each other, with
// basses below; each a sum of sines that dies away.
func played(rate int, chords, basses []float64) [][2]float64 {
	out := make([][2]float64, rate*(len(chords)+3)/2)
	for k := range chords {
		at := rate * (k + 2) / 2
		for i := range rate / 2 {
			t := float64(i) / float64(rate)
			v := 0.3 * math.Sin(2*math.Pi*basses[k]*t)
			for _, of := range []float64{1, 1.25, 1.5} {
				v += 0.1 * math.Sin(2*math.Pi*of*chords[k]*t)
			}
			v *= math.Exp(-3*t) * (1 - 2*t) // nothing is cut off
			out[at+i] = [2]float64{v, v}
		}
	}
	return out
}

// The chord changes at the fourth stroke and the bass at the sixth: what is struck again
// alike does not turn.
func TestTurn(t *testing.T) {
	t.Parallel()
	const a, b = 330, 440
	for _, rate := range []int{22050, 44100, 48000} {
		m := detect(rate, played(rate, []float64{a, a, a, b, b, b, b, b}, []float64{110, 110, 110, 110, 110, 147, 147, 147}), 4096)
		if len(m.Accents) != 8 {
			t.Fatalf("%d Hz: found %d onsets of 8", rate, len(m.Accents))
		}
		// The first turns most, as all sound that begins in silence does.
		for i, x := range m.Accents[1:] {
			if turns := x.Turn > 0.15; turns != (i == 2 || i == 4) {
				t.Errorf("%d Hz: all turns by %.2f at stroke %d", rate, x.Turn, i+2)
			}
			if turns := x.Bass > 0.2; turns != (i == 4) {
				t.Errorf("%d Hz: the bass turns by %.2f at stroke %d", rate, x.Bass, i+2)
			}
		}
	}
}
