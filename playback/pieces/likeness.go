package pieces

import (
	"math"

	"drylane/playback/internal/robust"
	"drylane/playback/locate"
)

// Likeness is how far the recording's waveform is the music's, 0 to 1: the median over its
// blocks of their correlation where they lie. A copy of a file has 0.9 and more, what a
// microphone took down in a room seldom 0.7.
func (l Lie) Likeness(music *locate.Music, sound *Sound) float64 {
	var all []float64
	a, b := make([]float32, block), make([]float32, block)
	played := l.Played(music, sound)
	for from := 0; from+block <= len(sound.samples); from += block {
		sound.At(a, from)
		best := 0.0
		for beside := -besides; beside <= besides; beside++ {
			clear(b)
			for k := 0; k < block; k += straight {
				played.fill(b[k:k+straight], from+k+beside)
			}
			best = max(best, correlation(a, b))
		}
		if best > 0 {
			all = append(all, best)
		}
	}
	return robust.Median(all)
}

// besides is by how many samples a block may lie beside its line, either way: high notes
// are nothing alike a sample further.
const besides = 2

// correlation is that of two stretches, whichever way up; 0 where one is silent.
func correlation(a, b []float32) float64 {
	var aa, bb, ab float64
	for i := range a {
		x, y := float64(a[i]), float64(b[i])
		aa, bb, ab = aa+x*x, bb+y*y, ab+x*y
	}
	if aa == 0 || bb == 0 {
		return 0
	}
	return math.Abs(ab) / math.Sqrt(aa*bb)
}
