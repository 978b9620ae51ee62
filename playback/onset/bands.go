package onset

import "math"

// The bands, as published but for the highest frequency: 17 kHz there.
const (
	bandsAnOctave = 24
	lowestBand    = 30.0     // Hz
	highestBand   = 10_000.0 // Hz
	tuning        = 440.0    // Hz: a band's middle, from which all are counted
)

// A band is a triangle over the bins of a spectrum, 1 at its peak.
type band struct {
	first   int // bin
	weights []float64
}

// newBands lays out the bands for windows of size samples at hz.
func newBands(hz float64, size int) []band {
	var edges []int
	lowest := int(math.Ceil(bandsAnOctave * math.Log2(lowestBand/tuning)))
	for i := lowest; ; i++ {
		f := tuning * math.Exp2(float64(i)/bandsAnOctave)
		bin := int(math.Round(f * float64(size) / hz))
		if f > highestBand || bin >= size/2 {
			break
		}
		// Low bands are narrower than a bin: each bin is taken once.
		if len(edges) == 0 || bin > edges[len(edges)-1] {
			edges = append(edges, bin)
		}
	}
	var bands []band
	for i := 2; i < len(edges); i++ {
		bands = append(bands, triangle(edges[i-2], edges[i-1], edges[i]))
	}
	return bands
}

// triangle rises from bin lo to mid and falls to hi.
func triangle(lo, mid, hi int) band {
	b := band{first: lo + 1}
	for k := lo + 1; k < hi; k++ {
		w := float64(k-lo) / float64(mid-lo)
		if k > mid {
			w = float64(hi-k) / float64(hi-mid)
		}
		b.weights = append(b.weights, w)
	}
	return b
}

// of returns the band's part of a spectrum of magnitudes.
func (b band) of(magnitudes []float64) float64 {
	sum := 0.0
	for i, m := range magnitudes[b.first : b.first+len(b.weights)] {
		sum += b.weights[i] * m
	}
	return sum
}
