package align

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A phat correlates pairs of windows by GCC-PHAT: G = X1 conj(X2), every bin
// of G brought to length 1, back to time. With x1 a copy of x2 that is d
// samples late the peak lies at +d. It is not safe for concurrent use.
type phat struct {
	fft    *fourier.FFT
	size   int // of the transform
	x      []float64
	f1, f2 []complex128
	white  []complex128
	r      []float64 // the correlation, circular
	bins   int       // of G that were used in the last correlation
}

// newPhat makes one for windows of n samples and lags up to reach: the
// transform is long enough that such a lag does not wrap around.
func newPhat(n, reach int) *phat {
	size := smooth(n + reach)
	half := size/2 + 1
	return &phat{
		fft: fourier.NewFFT(size), size: size, x: make([]float64, size),
		f1: make([]complex128, half), f2: make([]complex128, half),
		white: make([]complex128, half), r: make([]float64, size),
	}
}

// transform puts the spectrum of x into dst.
func (p *phat) transform(dst []complex128, x []float64) {
	copy(p.x, x)
	clear(p.x[len(x):])
	p.fft.Coefficients(dst, p.x)
}

// floor70 is -70 dB as a ratio of powers. Bins so far below the loudest carry
// the leakage of other bins, and the noise of a codec, rather than music.
const floor70 = 1e-7

// correlate compares x1 with x2 over the bins lo to hi-1 that have energy in
// both, and leaves the correlation in r, 1 for two windows that are alike.
func (p *phat) correlate(x1, x2 []float64, lo, hi int) {
	p.transform(p.f1, x1)
	p.transform(p.f2, x2)
	hi = min(hi, len(p.f1))
	min1, min2 := floor70*loudest(p.f1[lo:hi]), floor70*loudest(p.f2[lo:hi])
	clear(p.white)
	p.bins = 0
	for k := lo; k < hi; k++ {
		p1, p2 := power(p.f1[k]), power(p.f2[k])
		if p1 <= min1 || p2 <= min2 {
			continue
		}
		c := p.f1[k] * complex(real(p.f2[k]), -imag(p.f2[k]))
		p.white[k] = c * complex(1/math.Sqrt(p1*p2), 0)
		p.bins++
	}
	p.fft.Sequence(p.r, p.white)
	for i := range p.r {
		p.r[i] /= 2 * float64(max(1, p.bins))
	}
}

// peak returns the lag, in samples, of the largest value of r within reach,
// whether upright or upside down, with the value: negative if upside down.
func (p *phat) peak(reach int) (lag, value float64) {
	best := 0
	for i := -reach; i <= reach; i++ {
		if math.Abs(p.at(i)) > math.Abs(p.at(best)) {
			best = i
		}
	}
	sign := math.Copysign(1, p.at(best))
	lag, value = peakAt(p.r, best, sign)
	return lag, sign * value
}

func (p *phat) at(lag int) float64 {
	if lag < 0 {
		lag += p.size
	}
	return p.r[lag]
}

func loudest(f []complex128) float64 {
	top := 0.0
	for _, c := range f {
		top = max(top, power(c))
	}
	return top
}
