package screen

import (
	"testing"
	"time"
)

// TestNext: a countdown says what it counts to, in a narrow window as well.
func TestNext(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lit, effect time.Duration
		room        int
		want        string
	}{
		{700 * time.Millisecond, 2999 * time.Millisecond, 60, "lit in 0.7 s, effect in 2.9 s: cue 98 Beacon"},
		{700 * time.Millisecond, 2999 * time.Millisecond, 44, "lit in 0.7 s, effect in 2.9 s: cue 98 Beacon"},
		{700 * time.Millisecond, 2999 * time.Millisecond, 43, "lit 0.7 effect 2.9 s 98 Beacon"},
		{700 * time.Millisecond, 2999 * time.Millisecond, 30, "lit 0.7 effect 2.9 s 98 Beacon"},
		{700 * time.Millisecond, 2999 * time.Millisecond, 29, "lit 0.7 effect 2.9 s 98"},
		{700 * time.Millisecond, 2999 * time.Millisecond, 15, "lit 0.7 s 98"},
		{119 * time.Second, 121 * time.Second, 33, "lit 1:59 effect 2:01 98 Beacon"},
	} {
		if got := Next(c.lit, c.effect, "98", "Beacon", c.room); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
