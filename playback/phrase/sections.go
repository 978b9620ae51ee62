package phrase

import "math"

// reach is half the width of the kernel, in beats.
const reach = 16

// novelty is by how much the music around each beat is alike before it and after it, and
// not across it: the correlation of the self-similarity around it with Foote's
// checkerboard, tapered by a Gaussian; 0 to about 1.
func novelty(list []beat) []float64 {
	var taper [reach]float64
	for i := range taper {
		x := (float64(i) + 0.5) / reach
		taper[i] = math.Exp(-4 * x * x)
	}
	var all float64
	for _, a := range taper {
		for _, b := range taper {
			all += a * b
		}
	}
	out := make([]float64, len(list))
	for i := range list {
		var sum float64
		for a := range reach {
			for b := range reach {
				w := taper[a] * taper[b]
				before, after := i-1-a, i+b
				if before < 0 || after >= len(list) {
					continue
				}
				across := alike(&list[before], &list[after])
				within := 0.0
				n := 0.0
				if i-1-b >= 0 {
					within += alike(&list[before], &list[i-1-b])
					n++
				}
				if i+a < len(list) {
					within += alike(&list[i+a], &list[after])
					n++
				}
				if n > 0 {
					sum += w * (within/n - across)
				}
			}
		}
		out[i] = sum / all // near the ends there is less to tell by
	}
	return out
}

// alike is less the farther two beats lie apart in sound.
func alike(a, b *beat) float64 {
	d := 0.0
	for k := range a.sounds {
		x := a.sounds[k] - b.sounds[k]
		d += x * x
	}
	return math.Exp(-d)
}
