package deck

import (
	"time"

	"drylane/show/timebase"
)

// A clock is the wall clock of a live run or, when now is nil, a clock that
// only goes on as music is heard and as a script waits.
type clock struct {
	now   func() time.Time
	own   time.Time
	heard timebase.Frame
	began time.Time // what the clock showed when it was first asked
	led   bool      // its time passes with what the run follows, and with nothing else
}

// ownEpoch is where a run's own clock begins: any fixed moment does, and a
// fixed one makes runs repeatable.
var ownEpoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

func (c *clock) Now() time.Time {
	if c.now != nil {
		return c.now()
	}
	if c.own.IsZero() {
		c.own = ownEpoch
	}
	return c.own
}

// stamp is the time for what is asked for now; zero on a run's own clock, which
// only the loop reads. Safe to call from any goroutine.
func (c *clock) stamp() time.Time {
	if c.now == nil {
		return time.Time{}
	}
	return c.now()
}

// timeOfDay is the time of day for the log: by the clock as it was when the run began.
// If the computer's clock is set meanwhile, the times between entries stay true.
func (c *clock) timeOfDay() time.Time {
	now := c.Now()
	if c.began.IsZero() {
		c.began = now
	}
	return c.began.Add(now.Sub(c.began)) // by the monotonic reading
}

// heardTo advances the run's own clock by the music heard since the last call.
func (c *clock) heardTo(f timebase.Frame, rate int) {
	if c.now == nil && !c.led && f > c.heard {
		c.own = c.Now().Add(f.At(rate) - c.heard.At(rate))
	}
	c.heard = f
}

// wait lets the run's own clock pass to t.
func (c *clock) wait(t time.Time) {
	if c.now == nil && !c.led && t.After(c.Now()) {
		c.own = t
	}
}

// pass lets a run's own clock go on.
func (c *clock) pass(d time.Duration) {
	if c.now == nil {
		c.own = c.Now().Add(d)
	}
}
