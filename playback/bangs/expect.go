package bangs

// The music's power in a band is looked at over stretches that lie further and further
// back: what comes straight, from near walls, from far ones.
var lags = [...][2]int{{0, 1}, {1, 4}, {4, 15}, {15, 60}, {60, 375}} // frames, from and to

const (
	parts = len(lags) + 1 // and a steady noise
	// rounds is how often the factors of a block are bettered.
	rounds = 12
	// most is what a frame counts for at most when factors are fitted, against what
	// is expected of it: bangs are not to be taken for music.
	most = 2.0
)

// An expectation is what one band of the recording owes to the music.
type expectation struct {
	factor [parts]float64
	known  bool
}

// fit betters the factors for a block: x is the recording's power in the band, music
// the sums of the music's over each of lags. It multiplies each factor by how much of it
// the frames ask for (the update of Lee and Seung, 2000, for Poisson's divergence), which
// keeps all of them positive.
func (e *expectation) fit(x []float64, music [][parts]float64) {
	if !e.known {
		e.begin(x, music)
	}
	for range rounds {
		var want, have [parts]float64
		for n, v := range x {
			p := e.of(music[n])
			if p <= 0 {
				continue
			}
			// Weighed by the power expected: quiet frames count as loud ones do.
			r := min(v/p, most) / p
			for k, m := range music[n] {
				want[k] += r * m
				have[k] += m / p
			}
		}
		for k := range e.factor {
			if have[k] > 0 {
				e.factor[k] *= max(want[k]/have[k], 0.02)
			}
		}
	}
}

// begin takes factors to start from.
func (e *expectation) begin(x []float64, music [][parts]float64) {
	var sum [parts]float64
	total := 0.0
	for n, v := range x {
		total += v
		for k, m := range music[n] {
			sum[k] += m
		}
	}
	for k := range e.factor {
		e.factor[k] = (total + 1e-12) / float64(parts) / (sum[k] + 1e-12)
	}
	e.known = true
}

// of is what is expected with the music so loud.
func (e *expectation) of(music [parts]float64) float64 {
	sum := 0.0
	for k, m := range music {
		sum += e.factor[k] * m
	}
	return sum
}
