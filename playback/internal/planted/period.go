package planted

import "time"

// parts of a beat that music may go by.
var parts = [...]int{8, 6, 4, 3, 2}

// Shortest is the shortest period that the music has by its score: the smallest part
// of the beat whose places, those that no larger part has as well, carry a note at
// least half as often as the beats do; the beat itself without any.
//
// A list that is off by more than half of it lies nearer to other places of the
// same kind than to its own.
func (p *Piece) Shortest() time.Duration {
	beats := p.Grid.Beats
	if len(beats) < 2 {
		return 0
	}
	beat := (beats[len(beats)-1] - beats[0]) / time.Duration(len(beats)-1)
	least := p.sounding(1, 1) / 2
	for _, part := range parts {
		for k := 1; k < part; k++ {
			if coprime(k, part) && p.sounding(k, part) >= least {
				return beat / time.Duration(part)
			}
		}
	}
	return beat
}

// sounding is the part of the beats after k parts of which a note begins.
func (p *Piece) sounding(k, part int) float64 {
	n, beats := 0, p.Grid.Beats
	for i, b := range beats[:len(beats)-1] {
		if _, ok := p.onset(b + (beats[i+1]-b)*time.Duration(k)/time.Duration(part)); ok {
			n++
		}
	}
	return float64(n) / float64(len(beats)-1)
}

func coprime(a, b int) bool {
	for a > 0 {
		a, b = b%a, a
	}
	return b == 1
}
