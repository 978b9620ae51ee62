package onset

import "math"

// compression multiplies magnitudes before their logarithm; published: 1, for
// windows of 2048 samples of a full scale of 1. A higher value makes soft music
// count; the result hardly depends on it.
const compression = 3.0

// A fluxer works out onset strength. It belongs to one goroutine.
type fluxer struct {
	layout
	transform *transform
	window    []float64
	samples   []float64 // of one window
	mags      []float64 // of the bins that the bands cover
	bands     []band
	levels    [lag + 1][]float64 // of the newest windows, in a ring
	heard     []float64          // what each band's level has to exceed
}

func newFluxer(l layout) *fluxer {
	f := &fluxer{
		layout: l, transform: newTransform(l.size), window: make([]float64, l.size),
		samples: make([]float64, l.size), bands: newBands(l.hz(), l.size),
	}
	if n := len(f.bands); n > 0 {
		top := f.bands[n-1]
		f.mags = make([]float64, top.first+len(top.weights))
	}
	// The sum over a window grows with its size; scaled to the published one.
	scale := compression * 2048 / float64(l.size)
	for i := range f.window {
		f.window[i] = scale * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(l.size)))
	}
	for i := range f.levels {
		f.levels[i] = make([]float64, len(f.bands))
	}
	f.heard = make([]float64, len(f.bands))
	return f
}

// A value is what one window tells.
type value struct {
	rise  float32 // the onset strength
	power float32 // mean square from the window's middle to the next one's
}

// fill fills out. mono holds the soundtrack from margin frames before the
// middle of the window memory values before the first of out, to margin frames
// after that of the last; it is used up.
func (f *fluxer) fill(mono []float64, out []value) {
	for factor := f.factor; factor > 1; factor /= 2 {
		mono = halve(mono)
	}
	clear(f.heard)
	for k := range len(out) + memory {
		now := f.levels[k%(lag+1)]
		f.analyse(mono[k*f.hop:], now)
		if k < lag {
			continue
		}
		rise := f.rise(f.levels[(k-lag)%(lag+1)], now)
		if k >= memory {
			out[k-memory] = value{rise, f.power(mono[k*f.hop+f.size/2:])}
		}
	}
}

// analyse takes the logarithmic levels of all bands in one window.
func (f *fluxer) analyse(x, levels []float64) {
	for i, w := range f.window {
		f.samples[i] = x[i] * w
	}
	f.transform.magnitudes(f.mags, f.samples)
	for i, b := range f.bands {
		levels[i] = math.Log(1 + b.of(f.mags))
	}
}

// rise sums up by how much the bands exceed what they and their neighbours
// were, and what they were further back, as far as it still counts.
func (f *fluxer) rise(before, now []float64) float32 {
	sum := 0.0
	faded := fade * float64(f.hop) / f.hz()
	for i, v := range now {
		f.heard[i] = max(f.heard[i]-faded, before[i])
		least := f.heard[i]
		if i > 0 {
			least = max(least, before[i-1])
		}
		if i+1 < len(before) {
			least = max(least, before[i+1])
		}
		sum += max(0, v-least)
	}
	return float32(sum / float64(max(1, len(now))))
}

// power is the mean square of the samples up to the next window's middle.
func (f *fluxer) power(x []float64) float32 {
	sum := 0.0
	for _, v := range x[:f.hop] {
		sum += v * v
	}
	return float32(sum / float64(f.hop))
}
