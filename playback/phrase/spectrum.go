// Package phrase finds where something new begins in a piece of music. It listens to
// harmony and sound colour, beat by beat, and asks for beats that are known already.
//
// What sounds at each beat is a chroma vector (12 pitch classes) and the level in bands.
// Where a section begins the music before and after is alike within and not across: J.
// Foote, "Automatic audio segmentation using a measure of audio novelty", ICME 2000. The
// constants are the same for all music.
//
// Which beat begins a bar is not told: on rendered pieces whose scores say it, a count by
// harmony, low drum and accents was right for half of them, and nothing in it said for
// which.
package phrase

import (
	"math"

	"drylane/playback/internal/dsp"
	"drylane/playback/internal/window"
)

const (
	target = 11025 // frames a second to listen at, about
	size   = 4096  // frames of that: 0.37 s, so that semitones stand apart from 60 Hz on
	hop    = 1024  // 93 ms
	bands  = 12    // of level
	dims   = 12 + bands
	lowHz  = 60.0 // of chroma and bands
	highHz = 4000.0
)

// A column is what sounds in one window.
type column struct {
	chroma [12]float64
	level  [bands]float64 // log
}

// A Listener takes a soundtrack from its first frame to its last. It belongs to one
// goroutine.
type Listener struct {
	step    int // frames of the soundtrack for one that is listened to
	rate    float64
	filters [2]*dsp.Biquad
	phase   int
	buf     []float64
	columns []column
	fft     *dsp.Transform
	hann    []float64
	bins    []bin
	in      []float64
	out     []float64 // magnitudes, of the bins that belong somewhere
}

// A bin is where one bin of the spectrum belongs.
type bin struct {
	pitch int // class, -1 for none
	band  int // -1 for none
}

// NewListener makes a listener for a soundtrack of rate frames a second.
func NewListener(rate int) *Listener {
	l := &Listener{step: max(1, rate/target), fft: dsp.NewTransform(size), in: make([]float64, size), hann: window.Hann(size)}
	l.rate = float64(rate) / float64(l.step)
	// Two biquads in a row are a Butterworth filter of the fourth order.
	l.filters = [2]*dsp.Biquad{dsp.LowPass(0.4*l.rate, 0.5412, rate), dsp.LowPass(0.4*l.rate, 1.3066, rate)}
	for i := 0; i < size/2 && float64(i)*l.rate/size < highHz; i++ {
		l.bins = append(l.bins, binAt(float64(i)*l.rate/size))
	}
	l.out = make([]float64, len(l.bins))
	l.buf = make([]float64, size/2) // so that the first column is centred on the start
	return l
}

func binAt(hz float64) bin {
	b := bin{pitch: -1, band: -1}
	if hz < lowHz || hz >= highHz {
		return b
	}
	b.band = int(bands * math.Log(hz/lowHz) / math.Log(highHz/lowHz))
	if hz < 2000 {
		midi := 69 + 12*math.Log2(hz/440)
		b.pitch = int(math.Round(midi)) % 12
	}
	return b
}

// Add takes the next frames.
func (l *Listener) Add(frames [][2]float64) {
	for _, f := range frames {
		x := (f[0] + f[1]) / 2
		if math.IsNaN(x) || math.Abs(x) > 100 {
			x = 0
		}
		x = l.filters[1].Next(l.filters[0].Next(x))
		if l.phase == 0 {
			l.take(x)
		}
		if l.phase++; l.phase == l.step {
			l.phase = 0
		}
	}
}

func (l *Listener) take(x float64) {
	if l.buf = append(l.buf, x); len(l.buf) < size {
		return
	}
	l.column()
	l.buf = append(l.buf[:0], l.buf[hop:]...)
}

func (l *Listener) column() {
	for i, x := range l.buf {
		l.in[i] = x * l.hann[i]
	}
	l.fft.Magnitudes(l.out, l.in)
	var c column
	var power [bands]float64
	for i, b := range l.bins {
		x := l.out[i]
		if b.pitch >= 0 {
			c.chroma[b.pitch] += x
		}
		if b.band >= 0 {
			power[b.band] += x * x
		}
	}
	for i, p := range power {
		c.level[i] = math.Log(p + 1e-4)
	}
	l.columns = append(l.columns, c)
}

// at is the place of a frame of the soundtrack among the columns.
func (l *Listener) at(frame int64) float64 { return float64(frame) / float64(l.step*hop) }
