package locate

import (
	"fmt"
	"math"
	"slices"

	"drylane/playback/internal/dsp"
)

// A Music is a soundtrack made ready to be looked up in. It takes about 30 kB a second,
// 110 MB an hour, and is not changed any more: any number of goroutines may use it.
type Music struct {
	samples []int16 // at Rate, the loudest at the end of the scale
	scale   float64 // of a step
	windows []spectrum
	loud    float64 // RMS of the loud parts, 0..1
}

// A spectrum is the whitened band of a window, each bin as a step of 1/127; nil where
// there is silence. Window w begins at sample (w-1)*BlockLength: the first one half before
// the music, for blocks that begin before it.
type spectrum [][2]int8

// MostLength is the longest soundtrack that is taken, in seconds.
const MostLength = 4 * 3600

// silenceLevel is -70 dBFS: below it there is no music, only noise.
const silenceLevel = 0.000316

// A Builder makes a Music of frames as they come.
type Builder struct {
	narrow  *Narrow
	samples []float32
}

// NewBuilder makes one for a soundtrack of so many frames a second.
func NewBuilder(rate int) (*Builder, error) {
	n, err := NewNarrow(rate)
	if err != nil {
		return nil, err
	}
	return &Builder{narrow: n}, nil
}

// Expect makes room for so many seconds: all that is taken grows in place then.
func (b *Builder) Expect(seconds float64) {
	b.samples = slices.Grow(b.samples, int(min(seconds+1, MostLength)*Rate))
}

// Write takes the next frames of the soundtrack.
func (b *Builder) Write(frames [][2]float64) error {
	if b.samples = b.narrow.Write(b.samples, frames); len(b.samples) > MostLength*Rate {
		return fmt.Errorf("the soundtrack is longer than %d hours; wanted a shorter one", MostLength/3600)
	}
	return nil
}

// Music is the soundtrack that was written. The Builder is not used any more then.
func (b *Builder) Music() *Music {
	b.samples = b.narrow.Flush(b.samples)
	m := &Music{samples: make([]int16, len(b.samples)), scale: 1}
	top := float32(0)
	for _, v := range b.samples {
		top = max(top, v, -v)
	}
	if top > 0 {
		m.scale = float64(top) / math.MaxInt16
	}
	for i, v := range b.samples {
		m.samples[i] = int16(math.Round(float64(v) / m.scale))
	}
	m.loud = loudLevel(b.samples)
	b.samples = nil
	m.analyse()
	return m
}

// windowEdge is over how many samples a window comes in and goes out.
const windowEdge = Rate / 100

// analyse takes the spectra of all windows.
func (m *Music) analyse() {
	t := dsp.NewTransform(windowLength)
	buf := make([]float64, windowLength)
	lo, hi := bins(windowLength)
	bins := make([]complex128, hi)
	for from := -BlockLength; from < len(m.samples); from += BlockLength {
		read(m, buf, from)
		if dsp.RMS(buf) < silenceLevel {
			m.windows = append(m.windows, nil)
			continue
		}
		dsp.Edges(buf, windowEdge)
		t.Spectrum(bins, buf)
		whiten(bins[lo:])
		s := make(spectrum, hi-lo)
		for k, c := range bins[lo:] {
			s[k] = [2]int8{int8(math.Round(127 * real(c))), int8(math.Round(127 * imag(c)))}
		}
		m.windows = append(m.windows, s)
	}
}

// Length is how long the music is, in seconds.
func (m *Music) Length() float64 { return float64(len(m.samples)) / Rate }

// read fills dst from a sample on, with silence outside of the music.
func read[T float32 | float64](m *Music, dst []T, from int) {
	for i := range dst {
		dst[i] = 0
		if j := from + i; j >= 0 && j < len(m.samples) {
			dst[i] = T(float64(m.samples[j]) * m.scale)
		}
	}
}

// Loud is the level that a tenth of the music reaches.
func (m *Music) Loud() float64 { return m.loud }

// Samples fills dst with the music from a sample on, silence outside of it.
func (m *Music) Samples(dst []float32, from int) { read(m, dst, from) }
