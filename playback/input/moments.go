package input

import (
	"slices"
	"time"
)

// moments tells which frame is captured when, from when frames came in. A packet can
// come late, by the server's steps and by a busy computer, and never early: the
// earliest of the latest ones is right.
type moments struct {
	rate  float64
	n     int64 // frames that came
	early [momentSpans]float64
	span  int           // of early, the one that is filled
	since time.Duration // when it began
	any   bool
}

// The earliest is sought over this many stretches of this length: the clock of a
// device that is 100 ppm off is then followed to 0.2 ms.
const (
	momentSpans = 4
	momentSpan  = 500 * time.Millisecond
)

// came takes down that n frames came, of which the last was captured at a moment.
func (m *moments) came(n int, at time.Duration) {
	m.n += int64(n)
	early := float64(m.n) - at.Seconds()*m.rate // larger: earlier
	switch {
	case !m.any:
		m.any, m.since = true, at
		for i := range m.early {
			m.early[i] = early
		}
	case at-m.since > momentSpan:
		m.since, m.span = at, (m.span+1)%momentSpans
		m.early[m.span] = early
	default:
		m.early[m.span] = max(m.early[m.span], early)
	}
}

// at is the frame that is captured at a moment.
func (m *moments) at(t time.Duration) float64 {
	if !m.any {
		return 0
	}
	return slices.Max(m.early[:]) + t.Seconds()*m.rate
}
