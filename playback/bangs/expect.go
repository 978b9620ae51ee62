package bangs

// The music's power in a band is looked at over stretches that lie further and further
// back: what comes straight, what walls near and far throw back one by one, and the rest.
const (
	walls    = 30 // stretches of wallStep frames
	wallStep = 4
	longest  = 375 // frames
)

// lags are the stretches, in frames: from and to.
var lags = func() (out [walls + 4][2]int) {
	out[0], out[1] = [2]int{0, 1}, [2]int{1, wallStep}
	for k := range walls {
		out[2+k] = [2]int{(k + 1) * wallStep, (k + 2) * wallStep}
	}
	const middle = 200
	out[walls+2], out[walls+3] = [2]int{(walls + 1) * wallStep, middle}, [2]int{middle, longest}
	return out
}()

const (
	parts = len(lags) + 1 // and a steady noise
	// rounds is how often the factors of a block are bettered, by one of every frames.
	rounds = 10
	every  = 3
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
	more := 1
	if !e.known {
		e.begin(x, music)
		more = 4
	}
	for range more * rounds {
		var want, have [parts]float64
		for n := 0; n < len(x); n += every {
			p := e.of(&music[n])
			if p <= 0 {
				continue
			}
			// Weighed by the power expected: quiet frames count as loud ones do.
			r := min(x[n]/p, most) / p
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
func (e *expectation) of(music *[parts]float64) float64 {
	sum := 0.0
	for k, m := range music {
		sum += e.factor[k] * m
	}
	return sum
}
