package phrase

import (
	"math"

	"drylane/show/timebase"
)

// A beat is what sounds from one beat to the next.
type beat struct {
	at     timebase.Frame
	sounds [dims]float64 // chroma of length 1, then levels over the piece's own
}

// beats gathers what was heard from beat to beat.
func (l *Listener) beats(at []timebase.Frame) []beat {
	out := make([]beat, len(at))
	for i, f := range at {
		from := l.at(int64(f))
		to := from + 6
		switch {
		case i+1 < len(at):
			to = l.at(int64(at[i+1]))
		case i > 0:
			to = 2*from - l.at(int64(at[i-1]))
		}
		out[i].at = f
		l.mean(&out[i], from, to)
	}
	level(out)
	return out
}

// mean averages the columns between two places.
func (l *Listener) mean(b *beat, from, to float64) {
	first := max(0, min(len(l.columns)-1, int(math.Ceil(from))))
	last := max(first, min(len(l.columns)-1, int(math.Ceil(to))-1))
	for _, c := range l.columns[first : last+1] {
		for k, x := range c.chroma {
			b.sounds[k] += x
		}
		for k, x := range c.level {
			b.sounds[12+k] += x / float64(last-first+1)
		}
	}
	normalise(b.sounds[:12])
}

// normalise brings a vector to length 1; one of nothing stays.
func normalise(v []float64) {
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	if sum == 0 {
		return
	}
	for i := range v {
		v[i] /= math.Sqrt(sum)
	}
}

// level takes the mean of the piece off each band, over the spread of it.
func level(list []beat) {
	for k := 12; k < dims; k++ {
		values := make([]float64, len(list))
		for i := range list {
			values[i] = list[i].sounds[k]
		}
		mean, spread := moments(values)
		for i := range list {
			// Of about the weight of the chroma together.
			list[i].sounds[k] = (list[i].sounds[k] - mean) / (spread + 1e-9) / math.Sqrt(2*bands)
		}
	}
}

// moments are the mean and the standard deviation.
func moments(v []float64) (mean, spread float64) {
	var sum, squares float64
	for _, x := range v {
		sum += x
		squares += x * x
	}
	n := float64(len(v))
	mean = sum / n
	return mean, math.Sqrt(max(0, squares/n-mean*mean))
}
