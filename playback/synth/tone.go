package synth

import (
	"math"
	"time"

	"drylane/playback/internal/dsp"
)

// Levels of the test sounds, in dBFS.
const (
	ToneLevel  = -18.0 // Tone: its peaks reach an eighth of full scale
	NoiseLevel = -20.0 // PinkNoise: root mean square against that of a full-scale sine
	ClickLevel = -6.0  // Click: its highest peak
)

// edge is how long tones and noise take to come in and to go out.
const edge = 5 * time.Millisecond

// Tone returns n frames of a sine of freq hertz at ToneLevel. Its first and
// last 5 ms are raised-cosine ramps, so it neither clicks in nor out. At a rate
// below 1 it is silent.
//
// beep's generators.SinTone (v1.1.0) takes whole hertz only and adds up its
// phase: after ten minutes of 1 kHz it was off by 4e-9 of full scale, and no two
// turns were alike (measured).
func Tone(freq float64, rate, n int) []float64 {
	s := make([]float64, max(0, n))
	if rate < 1 {
		return s
	}
	amplitude := dsp.Gain(ToneLevel)
	for i := range s {
		// The turns are reduced before they become radians, so that an hour
		// of tone is as pure as its first second.
		_, turn := math.Modf(freq * float64(i) / float64(rate))
		s[i] = amplitude * math.Sin(2*math.Pi*turn)
	}
	dsp.Edges(s, frames(edge, rate))
	return s
}

// Click returns a metronome click: 30 ms at ClickLevel with its attack in its
// first sample.
func Click(rate int) []float64 {
	c := newCanvas(30*ms, rate, 1)
	c.click(0, 1000, 2*ms, 1)
	c.click(0, 2000, 1*ms, 0.5)
	s := c.finish()
	gain := dsp.Gain(ClickLevel)
	for i := range s {
		s[i] *= gain
	}
	return s
}
