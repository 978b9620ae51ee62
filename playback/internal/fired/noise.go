package fired

import (
	"math"
	"math/rand/v2"

	"drylane/playback/internal/dsp"
)

// slow is how many frames what changes slowly stays as it is.
const slow = 64

// wind is what wind does at a microphone: rumble in gusts, 1 in the mean.
func wind(r *rand.Rand, n int) []float64 {
	out := make([]float64, n)
	low, lower, gust := dsp.LowPass(140, 0.6, Rate), dsp.LowPass(45, 0.7, Rate), dsp.LowPass(0.35, 0.7, Rate)
	strength := 1.0
	for i := range out {
		if g := gust.Next(2*r.Float64() - 1); i%slow == 0 {
			strength = math.Exp(220 * g)
		}
		v := 2*r.Float64() - 1
		out[i] = strength * (low.Next(v) + 2*lower.Next(v))
	}
	return level(out)
}

// crowd is people: voices that come and go, and hands, of which there may be a recording.
func crowd(r *rand.Rand, n int, applause []float64) []float64 {
	out := make([]float64, n)
	for range 6 {
		band, high := dsp.LowPass(between(r, 600, 2500), 0.8, Rate), dsp.HighPass(between(r, 150, 350), 0.8, Rate)
		talk, turn := dsp.LowPass(between(r, 2, 6), 0.7, Rate), dsp.LowPass(0.2, 0.7, Rate)
		loud := 1.0
		for i := range out {
			if t := turn.Next(2*r.Float64() - 1); i%slow == 0 {
				loud = math.Exp(250 * t)
			}
			on := math.Max(0, 60*talk.Next(2*r.Float64()-1)) * loud
			out[i] += on * high.Next(band.Next(2*r.Float64()-1))
		}
	}
	level(out)
	for from := 0.0; from < float64(n)/Rate; from += between(r, 5, 40) {
		length, loud := between(r, 1, 6), between(r, 0.3, 2)
		if applause == nil {
			applaud(r, out, from, length, loud)
			continue
		}
		part := applause[:min(len(applause), int(length*Rate))]
		add(out, part, from, loud/rms(part))
	}
	return level(out)
}

// applaud has some people clap for a while.
func applaud(r *rand.Rand, dst []float64, from, length, loud float64) {
	for range int(length * between(r, 5, 40)) {
		t := from + length*r.Float64()
		clap := make([]float64, Rate/100)
		f := dsp.BandPass(between(r, 900, 2200), 1.5, Rate)
		for i := range clap {
			clap[i] = f.Next(2*r.Float64()-1) * math.Exp(-float64(i)/Rate/0.002)
		}
		add(dst, clap, t, 8*loud*r.Float64())
	}
}

// level brings the mean power of x to 1, in place.
func level(x []float64) []float64 {
	g := 1 / rms(x)
	for i := range x {
		x[i] *= g
	}
	return x
}

func rms(x []float64) float64 {
	sum := 1e-30
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}
