package tracks

import (
	"fmt"
	"math"
)

// edge is how long a tone takes to come in and to go out, in seconds.
const edge = 0.005

// A Tone is a steady sine that comes in at frame 0 of the source, and goes out
// at its end, in 5 ms each.
type Tone struct {
	milliHz   int64
	rate      int64
	amplitude float64
	length    int64
}

// NewTone returns a tone of hz, to a thousandth, at level dBFS, length frames
// of rate long. It has to lie below half the rate.
func NewTone(hz, level float64, rate int, length int64) (*Tone, error) {
	if hz <= 0 || hz > 0.45*float64(rate) {
		return nil, fmt.Errorf("found a tone of %g Hz; wanted at most %.0f Hz in music of %d Hz", hz, 0.45*float64(rate), rate)
	}
	return &Tone{int64(math.Round(1000 * hz)), int64(rate), math.Pow(10, level/20), length}, nil
}

// turn is the phase at frame n, in turns: exact, however far the tone goes on.
func (t *Tone) turn(n int64) float64 {
	whole := 1000 * t.rate
	return float64(n%whole*t.milliHz%whole) / float64(whole)
}

// at is frame n of the tone.
func (t *Tone) at(n int64) float64 {
	inside := min(n, t.length-1-n)
	if inside < 0 {
		return 0
	}
	x := t.amplitude * math.Sin(2*math.Pi*t.turn(n))
	if soft := edge * float64(t.rate); float64(inside) < soft {
		x *= 0.5 - 0.5*math.Cos(math.Pi*float64(inside)/soft)
	}
	return x
}

// Fill implements Source.
func (t *Tone) Fill(dst []float64, from int64) error {
	for i := range dst {
		dst[i] = t.at(from + int64(i))
	}
	return nil
}

// A burst is a short tone at a place in the music.
type burst struct {
	tone   *Tone
	start  int64
	length int64
}

func (b *burst) add(dst []float64, from int64) {
	lo, hi := max(from, b.start), min(from+int64(len(dst)), b.start+b.length)
	for n := lo; n < hi; n++ {
		dst[n-from] += b.tone.at(n - b.start)
	}
}
