package loudness

import "math"

// moments are the means, variances and covariance of the two channels.
type moments struct {
	mean, variance [2]float64
	covariance     float64
}

// moments returns those of all frames so far.
func (l *levels) moments() moments {
	var m moments
	if l.frames == 0 {
		return m
	}
	all, n := l.total, float64(l.frames)
	all.add(&l.hop)
	for c := range 2 {
		m.mean[c] = all.plain[c] / n
		square := all.squares[c] / n
		m.variance[c] = square - m.mean[c]*m.mean[c]
		if m.variance[c] < 1e-12*square {
			m.variance[c] = 0 // what is left of a constant is rounding
		}
	}
	m.covariance = all.products/n - m.mean[0]*m.mean[1]
	return m
}

// balance returns how many dB left lies above right.
func (m *moments) balance() Level {
	if m.variance[0] == m.variance[1] {
		return 0 // also where both are silent
	}
	return Level(10 * math.Log10(m.variance[0]/m.variance[1]))
}

// correlation returns Pearson's coefficient, 0 where it is undefined.
func (m *moments) correlation() float64 {
	scale := math.Sqrt(m.variance[0]) * math.Sqrt(m.variance[1])
	if scale == 0 {
		return 0
	}
	return max(-1, min(1, m.covariance/scale))
}
