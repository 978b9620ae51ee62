package tracks

import (
	"errors"
	"fmt"
	"math"
)

// A silenceEar wants no sound.
type silenceEar struct{ loudest float64 }

func (Silence) listener(*File, *Side) listener { return &silenceEar{} }

func (e *silenceEar) hear(samples []float64, _ int64) error {
	for _, s := range samples {
		e.loudest = max(e.loudest, math.Abs(s))
	}
	return nil
}

func (e *silenceEar) verdict() (string, error) {
	if e.loudest > 0 {
		return "", errors.New("found sound; wanted silence")
	}
	return "silence", nil
}

// A toneEar measures the frequency it is told by correlation over tenths of a
// second, and where there is sound at all.
type toneEar struct {
	file        *File
	side        *Side
	tone        *Tone
	first, last int64 // frames with sound
	sin, cos    float64
	power       float64
	n           int64
	quiet, loud float64 // amplitude of the tenths that lie within the tone
	rest        float64 // power that is not the tone's, of those
	all         float64
}

func (t *Tone) listener(f *File, s *Side) listener {
	return &toneEar{file: f, side: s, tone: t, first: -1, quiet: math.Inf(1)}
}

// sounds is where in the file the tone should be at its full level.
func (e *toneEar) sounds() (lo, hi int64) {
	soft := int64(edge*float64(e.file.Rate)) + 1
	return max(e.side.Offset+soft, 0), min(e.side.Offset+e.tone.length-soft, e.file.Length)
}

func (e *toneEar) hear(samples []float64, from int64) error {
	lo, hi := e.sounds()
	block := int64(e.file.Rate / 10)
	for i, s := range samples {
		n := from + int64(i)
		if s != 0 {
			if e.first < 0 {
				e.first = n
			}
			e.last = n
		}
		if n < lo || n >= hi {
			continue
		}
		sin, cos := math.Sincos(2 * math.Pi * e.tone.turn(n-lo))
		e.sin, e.cos, e.power, e.n = e.sin+s*sin, e.cos+s*cos, e.power+s*s, e.n+1
		if e.n == block {
			e.tenth()
		}
	}
	return nil
}

// tenth takes stock of a tenth of a second.
func (e *toneEar) tenth() {
	a := 2 / float64(e.n) * math.Hypot(e.sin, e.cos)
	e.quiet, e.loud = min(e.quiet, a), max(e.loud, a)
	e.rest += math.Abs(e.power - a*a/2*float64(e.n))
	e.all += e.power
	e.sin, e.cos, e.power, e.n = 0, 0, 0, 0
}

func (e *toneEar) verdict() (string, error) {
	hz := float64(e.tone.milliHz) / 1000
	if e.all == 0 {
		return "", fmt.Errorf("found no tone; wanted %g Hz", hz)
	}
	level := 20 * math.Log10(e.tone.amplitude*e.side.Gain)
	// A low tone has no whole number of periods in a tenth of a second, which
	// the correlation reads as up to half a decibel at 20 Hz.
	const within = 0.6
	if d := max(math.Abs(decibels(e.quiet)-level), math.Abs(decibels(e.loud)-level)); d > within || e.rest > e.all/5 {
		return "", fmt.Errorf("found %.1f to %.1f dBFS at %g Hz; wanted %.1f throughout", decibels(e.quiet), decibels(e.loud), hz, level)
	}
	return fmt.Sprintf("tone %g Hz at %.1f dBFS from %s to %s", hz, decibels(e.loud), e.file.clock(e.first), e.file.clock(e.last+1)), nil
}

func decibels(amplitude float64) float64 { return 20 * math.Log10(amplitude) }
