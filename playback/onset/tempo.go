package onset

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// How the tempo is found: by the autocorrelation of the onset strength in
// stretches of the music, where a period counts with its multiples, and the
// likeliest way from stretch to stretch.
const (
	shortest    = 0.28 // seconds from beat to beat that are looked for
	longest     = 1.2
	periodRatio = 1.01 // from one period tried to the next
	usual       = 0.5  // the likeliest period, 120 beats a minute, ...
	spread      = 0.9  // ... and its spread in octaves (Ellis: 0.9)
	multiples   = 4    // of a period that count for it
	stretch     = 10.0 // seconds
	stretchStep = 2.0
	// changeCost is for a change of tempo by an octave, against scores of at
	// most about 1 a stretch.
	changeCost = 8.0
)

// periods returns the periods tried, in values of onset strength.
func (l layout) periods() []float64 {
	var out []float64
	for s := shortest; s <= longest; s *= periodRatio {
		out = append(out, s*float64(l.rate)/float64(l.step()))
	}
	return out
}

// tempoPath returns the period in each stretch of rises, and the values from
// one stretch to the next.
func (l layout) tempoPath(rises []float64) (path []float64, step int) {
	step = l.values(stretchStep)
	half := l.values(stretch) / 2
	periods := l.periods()
	var scores [][]float64
	for at := 0; at < len(rises); at += step {
		scores = append(scores, l.periodScores(rises[max(0, at-half):min(len(rises), at+half)], periods))
	}
	for _, i := range likeliest(scores) {
		path = append(path, periods[i])
	}
	return path, step
}

// periodScores tells how well each period fits a stretch.
func (l layout) periodScores(x, periods []float64) []float64 {
	auto := autocorrelation(x, int(multiples*periods[len(periods)-1])+2)
	out := make([]float64, len(periods))
	for i, p := range periods {
		sum, weight := 0.0, 0.0
		for k := 1; k <= multiples; k++ {
			at := float64(k) * p
			lo := int(at)
			between := auto[lo] + (at-float64(lo))*(auto[lo+1]-auto[lo])
			sum += between / float64(k)
			weight += 1 / float64(k)
		}
		octaves := math.Log2(p * float64(l.step()) / float64(l.rate) / usual)
		out[i] = sum / weight * math.Exp(-0.5*octaves*octaves/(spread*spread))
	}
	return out
}

// autocorrelation returns that of x for lags below n, 1 at lag 0; all 0 for
// silence. It is the transform of the power spectrum, with as much silence
// behind x as keeps its ends apart.
func autocorrelation(x []float64, n int) []float64 {
	size := 64
	for size < len(x)+n {
		size *= 2
	}
	fft := fourier.NewFFT(size)
	padded := make([]float64, size)
	copy(padded, x)
	spec := fft.Coefficients(nil, padded)
	for i, c := range spec {
		spec[i] = complex(real(c)*real(c)+imag(c)*imag(c), 0)
	}
	out := fft.Sequence(padded, spec)[:n]
	power := out[0]
	for i := range out {
		if power > 0 {
			out[i] /= power
		} else {
			out[i] = 0
		}
	}
	return out
}

// likeliest returns the way through the scores with the highest sum less the
// cost of changes.
func likeliest(scores [][]float64) []int {
	if len(scores) == 0 {
		return nil
	}
	n := len(scores[0])
	step := changeCost * math.Log2(periodRatio)
	total := slices.Clone(scores[0])
	from := make([][]int, len(scores))
	for t := 1; t < len(scores); t++ {
		next := make([]float64, n)
		from[t] = make([]int, n)
		for i := range next {
			best := math.Inf(-1)
			for j, v := range total {
				if v -= step * math.Abs(float64(i-j)); v > best {
					best, from[t][i] = v, j
				}
			}
			next[i] = best + scores[t][i]
		}
		total = next
	}
	path := make([]int, len(scores))
	at := slices.Index(total, slices.Max(total))
	for t := len(scores) - 1; t >= 0; t-- {
		path[t] = at
		if t > 0 {
			at = from[t][at]
		}
	}
	return path
}
