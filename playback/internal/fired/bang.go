package fired

import (
	"math"
	"math/rand/v2"
	"slices"

	"drylane/playback/internal/dsp"
)

// A burst is the sound of a charge of a size in millimetres as it comes over a
// distance: an N-wave, longer of larger ones, and what burns behind it as noise. Its
// peak is about 1 where 100 mm break 150 m away.
func burst(r *rand.Rand, size, metres float64) []float64 {
	wave := 0.0016 * math.Pow(size/75, 0.7) // s
	tail := between(r, 0.03, 0.12) * math.Pow(size/75, 0.5)
	out := make([]float64, int((wave+6*tail)*Rate))
	loud := math.Pow(size/100, 0.8) * 150 / metres * math.Exp(0.25*r.NormFloat64())
	low := dsp.LowPass(between(r, 150, 500), 0.7, Rate)
	for i := range out {
		t := float64(i) / Rate
		if t < wave {
			out[i] = loud * (1 - 2*t/wave)
		}
		out[i] += loud * (0.25*2*low.Next(2*r.Float64()-1) + 0.06*(2*r.Float64()-1)) * math.Exp(-t/tail)
	}
	throughAir(out, metres)
	return out
}

// charge is what is heard of a charge: made, or a recording as loud as what would be made.
func (n *Night) charge(size, metres float64) []float64 {
	made := burst(n.rand, size, metres)
	if len(n.Breaks) == 0 {
		return made
	}
	taken := n.Breaks[n.rand.IntN(len(n.Breaks))]
	loud := 0.1 * dsp.Peak(taken)
	first := slices.IndexFunc(taken, func(v float64) bool { return math.Abs(v) > loud })
	x := slices.Clone(taken[max(0, first):])
	throughAir(x, metres)
	gain := dsp.Peak(made) / max(dsp.Peak(x), 1e-9)
	for i := range x {
		x[i] *= gain
	}
	return x
}

// throughAir takes from sound what air does over a distance: the more the higher.
// A first order stands for the sum over the bands.
func throughAir(x []float64, metres float64) {
	corner := min(900*1000/max(metres, 1), 0.45*Rate)
	f := dsp.LowPass(corner, 0.6, Rate)
	for i, v := range x {
		x[i] = f.Next(v)
	}
}

// add mixes x into dst from a moment on, between frames where it has to.
func add(dst, x []float64, at, gain float64) {
	f := at * Rate
	first := math.Floor(f)
	part := f - first
	last := 0.0
	for i := 0; i <= len(x); i++ {
		v := 0.0
		if i < len(x) {
			v = x[i]
		}
		if k := int(first) + i; k >= 0 && k < len(dst) {
			dst[k] += gain * ((1-part)*v + part*last)
		}
		last = v
	}
}
