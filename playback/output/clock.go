package output

import "time"

// A reading is what a device said at one moment: device frame pos was next to
// be heard, and it had frames to play up to limit.
type reading struct {
	at         time.Duration
	pos, limit int64
}

// stale is how long a reading is carried on when no other follows it.
const stale = 200 * time.Millisecond

// A clock tells the device's position at any moment from readings taken now
// and then. Between two it goes straight, after the last it goes on at the
// device's rate, but never beyond what the device had to play.
type clock struct {
	rate     int
	keep     time.Duration // how far back at must reach
	readings []reading
}

// add takes a reading; one no later than the last takes its place. Readings
// carry a jitter of the query's travel time; small differences from the expected
// are followed slowly.
func (c *clock) add(r reading) {
	if n := len(c.readings); n > 0 {
		last := &c.readings[n-1]
		if r.at <= last.at {
			last.pos, last.limit = r.pos, r.limit
			return
		}
		if expected := c.carry(*last, r.at); expected < last.limit {
			if d := r.pos - expected; d > -frames(5*time.Millisecond, c.rate) && d < frames(5*time.Millisecond, c.rate) {
				r.pos = min(expected+eighth(d), r.limit)
			}
		}
	}
	old := 0
	for old+1 < len(c.readings) && c.readings[old+1].at < r.at-c.keep {
		old++
	}
	c.readings = append(c.readings[:copy(c.readings, c.readings[old:])], r)
}

// eighth is d/8, away from zero.
func eighth(d int64) int64 {
	if d < 0 {
		return -((-d + 7) / 8)
	}
	return (d + 7) / 8
}

// at returns the position at t; ok is false before the first reading.
func (c *clock) at(t time.Duration) (pos int64, ok bool) {
	for i := len(c.readings) - 1; i >= 0; i-- {
		r := c.readings[i]
		if r.at > t {
			continue
		}
		if i+1 == len(c.readings) {
			return c.carry(r, t), true
		}
		next := c.readings[i+1]
		return r.pos + (next.pos-r.pos)*int64(t-r.at)/int64(next.at-r.at), true
	}
	return 0, false
}

// carry is reading r carried on to t.
func (c *clock) carry(r reading, t time.Duration) int64 {
	return min(r.pos+frames(min(t-r.at, stale), c.rate), r.limit)
}
