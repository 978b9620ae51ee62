package probe

import (
	"context"
	"strings"
	"time"

	"drylane/show/fitness"
)

const (
	forKey    = 15 * time.Second // somebody may be there, or not
	forRepeat = 1500 * time.Millisecond
	enough    = 20 // keys
)

// Repeat takes the times of a key that somebody holds down. It returns nil if none
// came, or another than j.
func (t *Terminal) Repeat(ctx context.Context) *fitness.Repeat {
	var times []time.Time
	for wait := forKey; len(times) < enough; wait = forRepeat {
		c, ok := t.next(ctx, wait)
		if !ok || c.text[0] != 'j' {
			break
		}
		for range strings.Count(c.text, "j") { // several may come in one read
			times = append(times, c.at)
		}
	}
	if len(times) == 0 {
		return nil
	}
	r := &fitness.Repeat{Keys: len(times)}
	if len(times) > 1 {
		r.After = fitness.Milliseconds(times[1].Sub(times[0]))
	}
	if n := len(times); n > 2 {
		r.Every = fitness.Milliseconds(times[n-1].Sub(times[1]) / time.Duration(n-2))
	}
	return r
}
