package score

import "math"

// A hall is a reverberator: eight delays that feed back into each other through
// a matrix that loses nothing (Jot and Chaigne 1991), each with a gain that
// makes it die away by 60 dB in the given time and a filter that takes the top
// off first.
type hall struct {
	lines [8][]float64
	at    [8]int
	gain  [8]float64
	dull  [8]float64
}

// hallDelays are primes, in samples, so that no echo falls on another: 26 to
// 62 ms.
var hallDelays = [8]int{1153, 1327, 1511, 1733, 1949, 2203, 2447, 2729}

// newHall returns an empty hall with a reverberation of rt60 seconds.
func newHall(rt60 float64) *hall {
	h := &hall{}
	for i, d := range hallDelays {
		h.lines[i] = make([]float64, d)
		h.gain[i] = math.Pow(10, -3*float64(d)/(rt60*Rate))
	}
	return h
}

// next takes one sample in and returns what the hall sounds like on each side.
func (h *hall) next(left, right float64) (l, r float64) {
	const damping = 0.35
	var out [8]float64
	sum := 0.0
	for i := range out {
		h.dull[i] += (1 - damping) * (h.lines[i][h.at[i]] - h.dull[i])
		out[i] = h.dull[i] * h.gain[i]
		sum += out[i]
	}
	for i := range out {
		in := left
		if i%2 == 1 {
			in = right
		}
		// The Householder matrix: each line gets itself less a quarter of all.
		h.lines[i][h.at[i]] = in + out[i] - sum/4
		if h.at[i]++; h.at[i] == len(h.lines[i]) {
			h.at[i] = 0
		}
	}
	return out[0] + out[2] - out[4] + out[6], out[1] - out[3] + out[5] + out[7]
}
