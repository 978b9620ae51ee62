package drill

import (
	"time"

	"drylane/show/drift"
)

// A trender collects the values of runs, in order. Several values of one run
// stand side by side.
type trender struct {
	last time.Time
	runs int
	x, y []float64
}

func (t *trender) add(began time.Time, v float64) {
	if t.runs == 0 || !began.Equal(t.last) {
		t.runs++
	}
	t.last = began
	t.x, t.y = append(t.x, float64(t.runs)), append(t.y, v)
}

// maxTrend is how many of the latest values a trend looks at.
const maxTrend = 500

// trend is by the count of runs, not by the days between them: people learn by
// doing.
func (t *trender) trend() Trend {
	n := max(0, len(t.x)-maxTrend)
	x, y := t.x[n:], t.y[n:]
	if t.runs < fewestRuns || x[len(x)-1]-x[0] < fewestRuns-1 {
		return Trend{Runs: t.runs}
	}
	slope, low, high := drift.TheilSen(x, y)
	span := x[len(x)-1] - x[0]
	// Four values that know nothing of one another all go one way in 2 of 24
	// orders: that is no certainty of 95 %, whatever the interval says.
	sure := (low > 0 || high < 0) && len(x) > 4
	return Trend{Runs: int(span) + 1, Known: true, Sure: sure, Change: slope * span}
}
