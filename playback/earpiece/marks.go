package earpiece

import "math"

// A mark says which place in the music an output's frame plays: from there on it goes
// at a pace, until the next mark.
type mark struct {
	out   int64
	place float64 // in frames of the music
	pace  float64
}

// marks are in the order of the output's frames.
type marks []mark

// add appends a mark, and lets go of those that no frame from heard on asks for.
func (m marks) add(x mark, heard int64) marks {
	old := 0
	for old+1 < len(m) && m[old+1].out <= heard {
		old++
	}
	m = m[:copy(m, m[old:])]
	if n := len(m); n > 0 && m[n-1].pace == x.pace && m[n-1].at(x.out) == x.place {
		return m
	}
	return append(m, x)
}

// at is the place of a frame of the output, which may lie before the first mark or
// after the last.
func (m mark) at(out int64) float64 { return m.place + float64(out-m.out)*m.pace }

// at is the place that a frame plays; not a number where there are no marks.
func (m marks) at(out int64) float64 {
	if len(m) == 0 {
		return math.NaN()
	}
	i := len(m) - 1
	for i > 0 && m[i].out > out {
		i--
	}
	return m[i].at(out)
}
