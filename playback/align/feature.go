package align

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// featureHz is about how many feature frames there are in a second.
const featureHz = 50

// bandEdges, in Hz, part the spectrum for the coarse search.
var bandEdges = []float64{60, 150, 300, 600, 1200, 2400, 4400}

const bands = 6

// features are changes of log energy in bands, frame by frame: they survive
// changes of level, equalisers and lossy coding, and tell attacks from decays.
type features struct {
	hz    float64 // frames a second; frame k lies at k/hz seconds
	bands [bands][]float32
}

func (f *features) frames() int { return len(f.bands[0]) }

// featuresOf analyses a track with windows of about 46 ms.
func featuresOf(t *track) *features {
	hop := int(t.hz()/featureHz + 0.5)
	size := 512
	fft := fourier.NewFFT(size)
	window := hann(size)
	buf := make([]float64, size)
	spec := make([]complex128, size/2+1)
	f := &features{hz: t.hz() / float64(hop)}
	n := len(t.mid)/hop + 1
	for b := range f.bands {
		f.bands[b] = make([]float32, n)
	}
	for k := range n {
		for i := range buf {
			buf[i] = 0
			if j := k*hop - size/2 + i; j >= 0 && j < len(t.mid) {
				buf[i] = window[i] * float64(t.mid[j])
			}
		}
		fft.Coefficients(spec, buf)
		for b := range f.bands {
			f.bands[b][k] = float32(bandEnergy(spec, bandEdges[b], bandEdges[b+1], t.hz()/float64(size)))
		}
	}
	for _, e := range f.bands {
		logChanges(e)
	}
	return f
}

func bandEnergy(spec []complex128, lo, hi, binHz float64) float64 {
	sum := 0.0
	for i := int(math.Ceil(lo / binHz)); i < len(spec) && float64(i)*binHz < hi; i++ {
		sum += power(spec[i])
	}
	return sum
}

// logChanges turns energies into changes of their logarithm, in place. What
// lies more than 30 dB under the band's mean counts as silence.
func logChanges(e []float32) {
	sum := 0.0
	for _, v := range e {
		sum += float64(v)
	}
	floor := sum/float64(len(e))*1e-3 + 1e-12
	last := math.Log(float64(e[0]) + floor)
	for k, v := range e {
		now := math.Log(float64(v) + floor)
		e[k] = float32(max(-3, min(3, now-last)))
		last = now
	}
}

// warped returns band b at the frame rate of another track whose moments t are
// f's moments ratio*t, n frames long, between frames by straight lines.
func (f *features) warped(b int, hz, ratio float64) []float32 {
	src := f.bands[b]
	step := ratio * f.hz / hz
	out := make([]float32, int(float64(len(src)-1)/step)+1)
	for m := range out {
		pos := float64(m) * step
		i := int(pos)
		if i+1 >= len(src) {
			break
		}
		frac := float32(pos - float64(i))
		out[m] = src[i] + frac*(src[i+1]-src[i])
	}
	return out
}

func hann(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
	}
	return w
}

func power(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }
