package align

import (
	"math"
	"sync"

	"drylane/playback/internal/window"
)

// Reading between samples: a windowed sinc of sincTaps taps, tabulated at
// sincPhases places between two samples. The nearest place is taken, which
// is off by up to 1/1024 of a sample: up to 0.4 of the sample rate, errors stay
// 45 dB below the music.
const (
	sincTaps   = 24
	sincPhases = 512
)

// sincTable is made when it is first wanted: most runs of the program compare nothing.
var sincTable = sync.OnceValue(func() *[sincPhases + 1][sincTaps]float32 {
	table := new([sincPhases + 1][sincTaps]float32)
	for p := range table {
		frac := float64(p) / sincPhases
		for i := range table[p] {
			x := float64(i-sincTaps/2+1) - frac
			table[p][i] = float32(window.Sinc(x) * window.Kaiser(x/(sincTaps/2), 7))
		}
	}
	return table
})

// readAt fills dst with src at the places start, start+step, ..., in samples.
// Outside of src there is silence.
func readAt(dst []float64, src []float32, start, step float64) {
	table := sincTable()
	for n := range dst {
		pos := start + float64(n)*step
		whole := math.Floor(pos)
		i := int(whole) - sincTaps/2 + 1
		taps := &table[int((pos-whole)*sincPhases+0.5)]
		if i < 0 || i+sincTaps > len(src) {
			dst[n] = readEdge(src, i, taps)
			continue
		}
		v := float32(0)
		for k, x := range src[i : i+sincTaps] {
			v += taps[k] * x
		}
		dst[n] = float64(v)
	}
}

// readEdge is the sum of readAt where some taps lie outside of src.
func readEdge(src []float32, i int, taps *[sincTaps]float32) float64 {
	v := float32(0)
	for k, h := range taps {
		if j := i + k; j >= 0 && j < len(src) {
			v += h * src[j]
		}
	}
	return float64(v)
}

// peakAt finds the largest value of sign*r near sample i, between samples, by
// band-limited interpolation. A parabola through three samples of a whitened
// correlation is biased; here one is used only on a grid of 1/16 of a sample,
// where the peak is smooth. r is circular.
func peakAt(r []float64, i int, sign float64) (pos, value float64) {
	const grid = 16
	local := make([]float32, sincTaps+4)
	for k := range local {
		local[k] = float32(sign * r[((i-len(local)/2+k)%len(r)+len(r))%len(r)])
	}
	var fine [2*grid + 1]float64 // from one sample before to one after
	readAt(fine[:], local, float64(len(local)/2-1), 1.0/grid)
	best := 1
	for k := 1; k < len(fine)-1; k++ {
		if fine[k] > fine[best] {
			best = k
		}
	}
	l, c, h := fine[best-1], fine[best], fine[best+1]
	shift := 0.0
	if curve := l - 2*c + h; curve < 0 {
		shift = max(-1, min(1, (l-h)/(2*curve)))
	}
	return float64(i-1) + (float64(best)+shift)/grid, c
}
