package score

import (
	"math"

	"drylane/playback/internal/dsp"
)

// glide adds a sine that falls from one frequency to another with a time
// constant of tau seconds.
func glide(s []float64, from, to, tau float64, level fall) {
	phase, bend := 0.0, falling(from-to, tau)
	for i := range s {
		s[i] += level.next() * math.Sin(phase)
		phase += 2 * math.Pi * (to + bend.next()) / Rate
	}
}

// hiss adds noise that has gone through the filters in turn.
func hiss(s []float64, rand *dsp.Rand, level fall, filters ...*dsp.Biquad) {
	for i := range s {
		x := rand.Bipolar()
		for _, f := range filters {
			x = f.Next(x)
		}
		s[i] += level.next() * x
	}
}

// soundKick is a deep sine with a beater's click.
func soundKick(n note, rand *dsp.Rand) []float64 {
	s := make([]float64, int(0.35*Rate))
	glide(s, 190, 48, 0.03, falling(n.force, 0.11))
	hiss(s, rand, falling(1.2*n.force, 0.004), dsp.BandPass(2500, 0.8, Rate))
	dsp.FadeOut(s, Rate/20)
	return s
}

// soundSnare is a band of noise over a short tone.
func soundSnare(n note, rand *dsp.Rand) []float64 {
	s := make([]float64, int(0.28*Rate))
	glide(s, 260, 185, 0.02, falling(0.6*n.force, 0.05))
	hiss(s, rand, falling(1.1*n.force, 0.06), dsp.HighPass(900, 0.7, Rate), dsp.LowPass(7500, 0.7, Rate))
	dsp.FadeOut(s, Rate/20)
	return s
}

// soundHat is a tick of high noise.
func soundHat(n note, rand *dsp.Rand) []float64 {
	s := make([]float64, int(0.09*Rate))
	hiss(s, rand, falling(n.force, 0.018), dsp.HighPass(6500, 0.8, Rate), dsp.LowPass(12000, 0.7, Rate))
	dsp.FadeOut(s, Rate/50)
	return s
}

// soundTom is a large drum with a rumble of noise.
func soundTom(n note, rand *dsp.Rand) []float64 {
	s := make([]float64, int(0.8*Rate))
	glide(s, 150, 72, 0.06, falling(n.force, 0.2))
	hiss(s, rand, falling(0.9*n.force, 0.06), dsp.LowPass(500, 0.7, Rate))
	dsp.FadeOut(s, Rate/10)
	return s
}

// timpaniModes are the sounding partials of a kettledrum against its note, and
// how loud and how long they are. The ratios 1 : 1.5 : 2 : 2.44 are those of its
// diametric modes in air (Rossing 1982, from memory).
var timpaniModes = []struct{ ratio, level, tau float64 }{
	{1, 1, 0.45}, {1.5, 0.6, 0.35}, {2, 0.35, 0.25}, {2.44, 0.25, 0.2}, {0.85, 0.5, 0.06},
}

func soundTimpani(n note, rand *dsp.Rand) []float64 {
	s := make([]float64, int(1.2*Rate))
	for _, m := range timpaniModes {
		f := m.ratio * 2 * n.pitch.hz()
		glide(s, f, f, 1, falling(0.5*n.force*m.level, m.tau))
	}
	hiss(s, rand, falling(0.9*n.force, 0.008), dsp.LowPass(1400, 0.7, Rate))
	dsp.FadeOut(s, Rate/5)
	return s
}

// soundCymbal is high noise that rings for seconds, with a body a little lower.
func soundCymbal(n note, rand *dsp.Rand) []float64 {
	s := make([]float64, int(2.6*Rate))
	hiss(s, rand, falling(n.force, 0.5), dsp.HighPass(2800, 0.7, Rate), dsp.LowPass(10000, 0.7, Rate))
	hiss(s, rand, falling(0.6*n.force, 0.9), dsp.BandPass(4200, 2, Rate))
	dsp.FadeOut(s, Rate/2)
	return s
}
