package crewclock

import (
	"math"
	"testing"
	"time"
)

const ms = time.Millisecond

// TestSample is worked by hand from theta = 1/2 * [(T2-T1) + (T3-T4)] and delta =
// (T4-T1) - (T3-T2) of RFC 5905, section 8.
func TestSample(t *testing.T) {
	for _, c := range []struct {
		name          string
		s             Sample // T1, T2, T3, T4
		offset, delay time.Duration
		whole         bool
	}{
		{"ahead by 1010 ms, 20 ms each way", Sample{100 * ms, 1130 * ms, 1140 * ms, 150 * ms}, 1010 * ms, 40 * ms, true},
		{"behind by 500 ms, 5 ms each way", Sample{2000 * ms, 1505 * ms, 1505 * ms, 2010 * ms}, -500 * ms, 10 * ms, true},
		{"together, 30 ms out and none back", Sample{0, 30 * ms, 30 * ms, 30 * ms}, 15 * ms, 30 * ms, true},
		{"came before it was sent", Sample{20 * ms, 15 * ms, 15 * ms, 10 * ms}, 0, 0, false},
		{"lay there longer than it was away", Sample{0, 10 * ms, 40 * ms, 20 * ms}, 15 * ms, 0, false},
		{"before the clock began", Sample{-2, 0, 0, 2}, 0, 4, false},
		{"past all time", Sample{0, math.MaxInt64, math.MaxInt64, 1}, 0, 1, false},
	} {
		if got := c.s.Whole(); got != c.whole {
			t.Errorf("%s: whole is %v", c.name, got)
		}
		if c.name == "past all time" {
			continue
		}
		if c.s.Offset() != c.offset || c.s.Delay() != c.delay {
			t.Errorf("%s: offset %v and delay %v; wanted %v and %v", c.name, c.s.Offset(), c.s.Delay(), c.offset, c.delay)
		}
	}
}
