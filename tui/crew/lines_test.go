package crew

import (
	"testing"
	"time"

	link "drylane/playback/crew"
)

// TestLineClock: a member's line says that its figure is the clock's, in words as far as
// there is room for them, and keeps the figure where there is none.
func TestLineClock(t *testing.T) {
	for _, c := range []struct {
		role  string
		ready bool
		room  int
		want  string
	}{
		{"position:Quay", false, 30, "not ready, clock within 0.7 ms"},
		{"position:Quay", false, 23, "not ready, clock 0.7 ms"},
		{"position:Quay", false, 18, "not ready, ±0.7 ms"},
		{"position:Quay", false, 17, "not ready, 0.7 ms"},
		{"position:Quay", true, 18, "ready, ±0.7 ms"},
		{"listener", false, 19, "clock within 0.7 ms"},
	} {
		line := link.Line{Name: "Ben", Role: c.role, Ready: c.ready, Bound: 700 * time.Microsecond}
		if got, _ := lineText(line, false, c.room); got != c.want {
			t.Errorf("%s in %d columns: %q, want %q", c.role, c.room, got, c.want)
		}
	}
}
