package screen

import (
	"testing"
	"time"
)

// TestStillUp: nothing is ever told to be clear by a list, and what has no burn
// time keeps it from saying that nothing is up.
func TestStillUp(t *testing.T) {
	for _, tt := range []struct {
		up, unknown int
		last        time.Duration
		want        string
	}{
		{0, 0, 0, "LIST: nothing up; ask the spotter"},
		{0, 2, 0, "LIST: 2 unknown; ask the spotter"},
		{5, 0, 3010 * time.Millisecond, "5 still up for 3.1 s"},
		{1, 1, 101 * time.Second, "1 still up for 1:41, 1 unknown"},
	} {
		if got := StillUp(tt.up, tt.last, tt.unknown); got != tt.want {
			t.Errorf("%d up, %d unknown: %q, want %q", tt.up, tt.unknown, got, tt.want)
		}
	}
}
