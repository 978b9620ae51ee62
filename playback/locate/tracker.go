package locate

import (
	"math"

	"drylane/playback/internal/dsp"
	"drylane/playback/internal/window"
)

// TrackLength is how many samples a Tracker measures at once: 0.512 s.
const TrackLength = 4096

// A Reading is what a Tracker says of a block.
type Reading struct {
	Lag   float64 // seconds by which the block lies later in the music than was said
	Score float64 // as that of a Place: chance gives 3 at the most within 10 ms
	Heard float64 // RMS of the block
	Music float64 // RMS of the music there
}

// A Tracker measures short blocks about a place that is known. It belongs to one
// goroutine and allocates nothing when it measures.
type Tracker struct {
	music        *Music
	t            *dsp.Transform
	window       []float64
	x            []float64
	heard, wants []complex128
	levels       []float64
	lo, hi       int
	fill         func([]complex128) // kept, as a new one at each call would be allocated
}

// NewTracker makes one.
func NewTracker(m *Music) *Tracker {
	lo, hi := bins(TrackLength)
	t := &Tracker{music: m, t: dsp.NewTransform(TrackLength), window: window.Hann(TrackLength), x: make([]float64, TrackLength),
		heard: make([]complex128, hi), wants: make([]complex128, hi), levels: make([]float64, 0, 2*TrackLength/limitPiece+2), lo: lo, hi: hi}
	t.fill = t.cross
	return t
}

// Measure compares a block of TrackLength samples with the music from a moment on, at lags
// of up to reach seconds either way.
func (t *Tracker) Measure(block []float32, at, reach float64) Reading {
	from := int(math.Round(at * Rate))
	r := Reading{}
	for i := range t.x {
		t.x[i] = float64(block[i])
	}
	r.Heard = dsp.RMS(t.x)
	n1 := t.spectrum(t.heard)
	read(t.music, t.x, from)
	r.Music = dsp.RMS(t.x)
	n2 := t.spectrum(t.wants)
	if n1 == 0 || n2 == 0 {
		return r
	}
	corr := t.t.Complex(t.fill)
	norm := math.Sqrt(float64(min(n1, n2)))
	best, most := 0, int(reach*Rate/2)
	around := func(j int) int { return (j + len(corr)) % len(corr) }
	for j := -most; j <= most; j++ {
		if power(corr[around(j)]) > power(corr[around(best)]) {
			best = j
		}
	}
	shift, height := vertex(power(corr[around(best-1)]), power(corr[around(best)]), power(corr[around(best+1)]))
	r.Lag, r.Score = (float64(from)+2*(float64(best)+shift))/Rate-at, height/norm
	return r
}

// spectrum puts the whitened spectrum of x, which it limits, into dst.
func (t *Tracker) spectrum(dst []complex128) (n int) {
	t.levels = Limit(t.x, t.levels)
	for i, w := range t.window {
		t.x[i] *= w
	}
	t.t.Spectrum(dst, t.x)
	return whiten(dst[t.lo:])
}

// cross is as that of a Finder.
func (t *Tracker) cross(x []complex128) {
	clear(x[:t.lo])
	clear(x[t.hi:])
	for k := t.lo; k < t.hi; k++ {
		m, h := t.wants[k], t.heard[k]
		x[k] = complex(real(m), -imag(m)) * h
	}
}
