package onset

import (
	"math"

	"drylane/playback/internal/dsp"
	"drylane/playback/internal/window"
)

// A band's level is the logarithm of 1 and its magnitude over a knee. The knee lies
// so far beneath the loudest of the music around (see loudest), not beneath full
// scale as published: so the answer is the same however loud the file is. From half
// to twice these the result is as good.
const (
	bandKnee  = 1.0 / 768 // for the magnitude of a sine of amplitude 1
	aboveKnee = 1.0 / 120 // for the root mean square of what lies above the bands
)

// parts is into how many parts, of as many bands each, the spectrum is divided. The
// strength of an onset is the root mean square of the mean rises in the parts and
// of that of what lies above the bands. Published: the mean of all rises, in which
// what a few bands say alone is lost: a soft cymbal, or a bass.
const parts = 8

// A fluxer works out onset strength. It belongs to one goroutine.
type fluxer struct {
	layout
	transform *dsp.Transform
	window    []float64
	samples   []float64 // of one window
	mags      []float64 // of the bins that the bands cover
	bands     []band
	raw       []float64 // magnitudes of the bands in one window, in parts of the loudest
	turn      *turner   // of what chords are made of
	bass      *turner
	levels    [lag + 1]levels // of the newest windows, in a ring
	heard     levels          // what each level has to exceed
	above     []float64       // samples of what lies above the bands, if anything
}

// levels are those of one window: of the bands, with a 0 at either end, and of
// what lies above them.
type levels struct {
	bands []float64
	above float64
}

func newFluxer(l layout) *fluxer {
	f := &fluxer{
		layout: l, transform: dsp.NewTransform(l.size), window: make([]float64, l.size),
		samples: make([]float64, l.size), bands: newBands(l.hz(), l.size),
	}
	f.raw = make([]float64, len(f.bands))
	binHz := l.hz() / float64(l.size)
	f.turn, f.bass = newTurner(f.bands, binHz, 60, 2000, true), newTurner(f.bands, binHz, 30, 250, false)
	if n := len(f.bands); n > 0 {
		top := f.bands[n-1]
		f.mags = make([]float64, top.first+len(top.weights))
	}
	// A sine of amplitude 1 has a magnitude of size/4.
	for i, w := range window.Hann(l.size) {
		f.window[i] = 4 / float64(l.size) * w
	}
	for i := range f.levels {
		f.levels[i].bands = make([]float64, len(f.bands)+2)
	}
	f.heard.bands = make([]float64, len(f.bands)+2)
	return f
}

// A value is what one window tells.
type value struct {
	onset float32 // the onset strength
	rise  float32 // the mean over all bands
	power float32 // mean square from the window's middle to the next one's
	turn  float32 // by how much what sounds behind it differs from that before it
	bass  float32 // the same of the bass
}

// fill fills the values of a job; its frames are used up.
func (f *fluxer) fill(j job) {
	mono := j.mono
	if f.factor > 1 && f.above == nil {
		f.above = make([]float64, f.most()/2)
	}
	for factor := f.factor; factor > 1; factor /= 2 {
		mono = halve(mono, f.above)
	}
	clear(f.heard.bands)
	f.heard.above = 0
	f.turn.reset()
	f.bass.reset()
	for k := range len(j.out) + memory + turnAhead {
		f.analyse(mono[k*f.hop:], j.reference(k-memory))
		if i := k - memory - turnAhead; i >= 0 {
			j.out[i].turn, j.out[i].bass = f.turn.turn(), f.bass.turn()
		}
		if i := k - memory; i < len(j.out) {
			f.fillOnset(j, i, mono)
		}
	}
}

// fillOnset fills what an onset is told by in value i of a job, or prepares it where
// i is below 0, from the window that was analysed.
func (f *fluxer) fillOnset(j job, i int, mono []float64) {
	k := i + memory
	now, loud := &f.levels[k%(lag+1)], j.reference(i)
	for b, m := range f.raw {
		now.bands[b+1] = math.Log(1 + m/bandKnee)
	}
	now.above = f.levelAbove(k, loud)
	if k < lag {
		return
	}
	onset, rise := f.rise(&f.levels[(k-lag)%(lag+1)], now)
	if i >= 0 {
		j.out[i] = value{onset: onset, rise: rise, power: f.power(mono[k*f.hop+f.size/2:])}
	}
}

// analyse takes the magnitudes of all bands in one window, in parts of loud.
func (f *fluxer) analyse(x []float64, loud float64) {
	for i, w := range f.window {
		f.samples[i] = x[i] * w
	}
	f.transform.Magnitudes(f.mags, f.samples)
	for i, b := range f.bands {
		f.raw[i] = b.of(f.mags) / loud
	}
	f.turn.take(f.raw)
	f.bass.take(f.raw)
}

// levelAbove is the level of what lies above the bands, around the middle of
// window k.
func (f *fluxer) levelAbove(k int, loud float64) float64 {
	if f.above == nil {
		return 0
	}
	x := f.above[k*f.hop+f.size/2-f.hop:][:2*f.hop]
	return math.Log(1 + math.Sqrt(meanSquare(x))/(aboveKnee*loud))
}

// rise tells by how much the bands exceed what they and their neighbours were, and
// what they were further back, as far as it still counts: as onset strength, and as
// the mean over all bands.
func (f *fluxer) rise(before, now *levels) (onset, mean float32) {
	faded := fade * float64(f.hop) / f.hz()
	all, squares, counted := 0.0, 0.0, 0.0
	for p := range parts {
		from, to := p*len(f.bands)/parts, (p+1)*len(f.bands)/parts
		if from == to {
			continue
		}
		sum := 0.0
		was, is, heard := before.bands[from:to+2], now.bands[from+1:to+1], f.heard.bands[from+1:to+1]
		for i, v := range is {
			// Near the knee the level of what fades falls more slowly.
			h := heard[i]
			heard[i] = max(h-faded*h/(1+h), was[i+1])
			sum += max(0, v-max(heard[i], was[i], was[i+2]))
		}
		part := sum / float64(to-from)
		all, squares, counted = all+sum, squares+part*part, counted+1
	}
	if f.above != nil {
		f.heard.above = max(f.heard.above-faded, before.above)
		rise := max(0, now.above-f.heard.above)
		squares, counted = squares+rise*rise, counted+1
	}
	return float32(math.Sqrt(squares / max(1, counted))), float32(all / float64(max(1, len(f.bands))))
}

// power is the mean square of the samples up to the next window's middle.
func (f *fluxer) power(x []float64) float32 { return float32(meanSquare(x[:f.hop])) }

// meanSquare keeps two sums, which are done at the same time.
func meanSquare(x []float64) float64 {
	even, odd := 0.0, 0.0
	for i := 0; i+1 < len(x); i += 2 {
		even += x[i] * x[i]
		odd += x[i+1] * x[i+1]
	}
	if len(x)%2 == 1 {
		last := x[len(x)-1]
		even += last * last
	}
	return (even + odd) / float64(max(1, len(x)))
}
