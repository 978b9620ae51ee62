package loudness

import (
	"math"

	"drylane/playback/internal/window"
)

// True peak is the largest magnitude of the waveform between the samples,
// estimated as in ITU-R BS.1770 Annex 2 by interpolating to four times the
// rate. Reading a sine of frequency f only at those points is at most
// 20*log10(cos(pi*f/(4*rate))) too low: 0.17 dB at a quarter of the rate.
const (
	sideTaps  = 12 // samples used on either side of an interpolated point
	taps      = 2 * sideTaps
	kaiser    = 6.0 // window shape: flat to 0.01 dB up to 0.4 of the rate
	groupSize = 8   // points tested against the bound together
)

// An interpolator holds the impulse responses that give the points at 1/4,
// 1/2 and 3/4 of the way between two samples.
//
// The responses for 1/4 and 3/4 mirror each other. Written on the sums and the
// differences of the samples that lie equally far from the middle, they are
// even+odd and even-odd, and the larger magnitude of the two is |even|+|odd|.
type interpolator struct {
	even, odd, half [sideTaps]float64
	// bound is the largest sum of magnitudes of any one response: no
	// interpolated point is larger than bound times the largest of its samples.
	bound float64
}

// interpolation is the windowed sinc that all meters share; it is never
// written to.
var interpolation = newInterpolator()

func newInterpolator() *interpolator {
	var near, far, half [sideTaps]float64
	var quarterSum, halfSum float64
	for k := range sideTaps {
		near[k] = windowedSinc(float64(k) + 0.25)
		far[k] = windowedSinc(float64(k) + 0.75)
		half[k] = windowedSinc(float64(k) + 0.5)
		quarterSum += near[k] + far[k]
		halfSum += 2 * half[k]
	}
	// Each response passes a constant unchanged.
	p := &interpolator{}
	var quarterBound, halfBound float64
	for k := range sideTaps {
		p.even[k] = (near[k] + far[k]) / 2 / quarterSum
		p.odd[k] = (near[k] - far[k]) / 2 / quarterSum
		p.half[k] = half[k] / halfSum
		quarterBound += (math.Abs(near[k]) + math.Abs(far[k])) / quarterSum
		halfBound += 2 * math.Abs(p.half[k])
	}
	// The margin covers the rounding of the sums that the bound stands for.
	p.bound = max(quarterBound, halfBound) * (1 + 1e-9)
	return p
}

// windowedSinc is sin(pi t)/(pi t) under a Kaiser window that ends at sideTaps.
func windowedSinc(t float64) float64 {
	return window.Kaiser(t/sideTaps, kaiser) * window.Sinc(t)
}

// peaks returns the largest magnitude in x, and the larger of floor and the
// largest magnitude among the points between x[i+11] and x[i+12] for every i
// that leaves a full window in x.
//
// Points are taken in groups. Where the bound shows that no point of a group
// can pass floor the group is passed over, which changes no result.
func (p *interpolator) peaks(x []float64, floor float64) (sample, between float64) {
	between = floor
	points := len(x) - taps + 1
	// A group of points rests on four cells of samples, the last of which
	// is new each time: groupSize+taps-1 samples fit in four cells.
	var cells [4]float64
	for i := range cells[1:] {
		cells[i+1] = largest(cell(x, i))
	}
	sample = max(cells[1], cells[2], cells[3])
	for i := 0; i < points; i += groupSize {
		cells[0], cells[1], cells[2] = cells[1], cells[2], cells[3]
		cells[3] = largest(cell(x, i/groupSize+3))
		sample = max(sample, cells[3])
		if p.bound*max(cells[0], cells[1], cells[2], cells[3]) <= between {
			continue
		}
		for j := i; j < min(i+groupSize, points); j++ {
			between = max(between, p.at((*[taps]float64)(x[j:])))
		}
	}
	return sample, between
}

// cell returns the i-th run of groupSize samples of x, or what there is of it.
func cell(x []float64, i int) []float64 {
	from := min(i*groupSize, len(x))
	return x[from:min(from+groupSize, len(x))]
}

// at returns the largest magnitude of the three points in the middle of w.
func (p *interpolator) at(w *[taps]float64) float64 {
	var even, odd, half float64
	for k := range sideTaps {
		a, b := w[sideTaps-1-k], w[sideTaps+k]
		even += p.even[k] * (a + b)
		odd += p.odd[k] * (a - b)
		half += p.half[k] * (a + b)
	}
	return max(math.Abs(even)+math.Abs(odd), math.Abs(half))
}

// largest returns the largest magnitude in x.
func largest(x []float64) float64 {
	var m float64
	for _, v := range x {
		if a := math.Abs(v); a > m {
			m = a
		}
	}
	return m
}
