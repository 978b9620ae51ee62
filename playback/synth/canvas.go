package synth

import (
	"math"
	"time"

	"drylane/playback/internal/dsp"

	"github.com/faiface/beep"
)

// A canvas is a bang being drawn: layers are added to samples one by one.
type canvas struct {
	rate    int
	samples []float64
	rand    dsp.Rand
}

func newCanvas(length time.Duration, rate int, seed uint64) *canvas {
	return &canvas{rate: rate, samples: make([]float64, frames(length, rate)), rand: dsp.Rand(seed)}
}

// An envelope is the loudness of a layer t seconds after it began.
type envelope func(t float64) float64

// decay falls by a factor of e every tau.
func decay(tau time.Duration) envelope {
	return func(t float64) float64 { return math.Exp(-t / tau.Seconds()) }
}

// swell rises to 1 at top and is back at 0 at end, without corners.
func swell(top, end time.Duration) envelope {
	rise, fall := top.Seconds(), (end - top).Seconds()
	return func(t float64) float64 {
		if t < rise {
			return 0.5 - 0.5*math.Cos(math.Pi*t/rise)
		}
		return 0.5 + 0.5*math.Cos(math.Pi*min(1, (t-rise)/fall))
	}
}

// click adds a burst that starts at its full height and rings at hz.
func (c *canvas) click(at time.Duration, hz float64, tau time.Duration, gain float64) {
	env := decay(tau)
	c.layer(at, func(t float64) float64 { return gain * env(t) * math.Cos(2*math.Pi*hz*t) })
}

// tone adds a sine that glides from one frequency to another with its
// envelope: it is at to hz when it has died away.
func (c *canvas) tone(at time.Duration, from, to float64, env envelope, gain float64) {
	phase := 0.0
	c.layer(at, func(t float64) float64 {
		y := gain * env(t) * math.Sin(phase)
		phase += 2 * math.Pi * (to + (from-to)*env(t)) / float64(c.rate)
		return y
	})
}

// noise adds a band of noise around hz. Its loudness does not depend on the
// rate: white noise spreads over the whole band, so the part of it that passes
// the filters shrinks as the rate grows.
func (c *canvas) noise(at time.Duration, hz, q float64, env envelope, gain float64) {
	first, second := dsp.BandPass(hz, q, c.rate), dsp.BandPass(hz, q, c.rate)
	gain *= math.Sqrt(float64(c.rate) * q / hz)
	c.layer(at, func(t float64) float64 { return gain * env(t) * second.Next(first.Next(c.rand.Bipolar())) })
}

func (c *canvas) layer(at time.Duration, f func(t float64) float64) {
	first := frames(at, c.rate)
	for i := first; i < len(c.samples); i++ {
		c.samples[i] += f(float64(i-first) / float64(c.rate))
	}
}

// finish ends the sound in silence, takes its mean out and brings its peak
// to 1.
func (c *canvas) finish() []float64 {
	s := c.samples
	dsp.FadeOut(s, frames(15*ms, c.rate))
	removeMean(s)
	peak := dsp.Peak(s)
	if peak == 0 {
		return s
	}
	for i := range s {
		s[i] /= peak
	}
	return s
}

// removeMean takes out the mean with a bow that is 0 at both ends, so that
// neither the attack nor the silence after the sound moves.
func removeMean(s []float64) {
	sum, weight := 0.0, 0.0
	bow := func(i int) float64 { return math.Sin(math.Pi * float64(i) / float64(len(s)-1)) }
	if len(s) < 3 {
		return
	}
	for i, x := range s {
		sum, weight = sum+x, weight+bow(i)
	}
	for i := range s {
		s[i] -= sum / weight * bow(i)
	}
}

// frames is how many frames fit into d; none at a rate below 1.
func frames(d time.Duration, rate int) int {
	return max(0, beep.SampleRate(rate).N(d))
}
