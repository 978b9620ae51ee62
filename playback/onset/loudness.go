package onset

import "math"

// What the music is measured against: the loudest in it for some ten seconds to
// either side, so that a soft piece, and a soft part of a piece, has the onsets
// that it would have if it were played louder.
const (
	loudestOver = 0.05 // seconds
	// headroom is from the loudest root mean square to the amplitude of which
	// the knees are parts.
	headroom = 3
	// leastLoud keeps the noise of the last bit, of 16, under the knees.
	leastLoud = 6e-3
)

// loudest returns the amplitude that a stretch of frames is measured against.
func (l layout) loudest(frames []float64) float64 {
	most := 0.0
	for over := max(1, int(loudestOver*float64(l.rate))); len(frames) > 0; {
		n := min(over, len(frames))
		most = max(most, meanSquare(frames[:n])*float64(n)/float64(over))
		frames = frames[n:]
	}
	return max(leastLoud, headroom*math.Sqrt(most))
}

// reference is what value i of a job is measured against: it passes evenly from
// what is loudest around the first to what is loudest around the last.
func (j job) reference(i int) float64 {
	part := float64(max(0, i)) / float64(len(j.out))
	return j.from + part*(j.to-j.from)
}
