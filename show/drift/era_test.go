package drift

import (
	"fmt"
	"testing"
	"time"
)

func TestEras(t *testing.T) {
	for _, tt := range []struct {
		nudges []int // of taps 0, 1, 2, ..., in tenths of a second
		want   string
	}{
		{nil, "[]"},
		{[]int{3}, "[{300ms [0]}]"},
		{[]int{0, 0, 0}, "[{0s [0 1 2]}]"},
		{[]int{0, 0, 2, 2, -1}, "[{0s [0 1]} {200ms [2 3]} {-100ms [4]}]"},
		{[]int{1, 0, 1}, "[{100ms [0]} {0s [1]} {100ms [2]}]"}, // back again is another era
	} {
		taps := make([]int, len(tt.nudges))
		for i := range taps {
			taps[i] = i
		}
		got := Eras(taps, func(i int) time.Duration { return time.Duration(tt.nudges[i]) * 100 * time.Millisecond })
		if s := fmt.Sprint(got); s != tt.want {
			t.Errorf("%v: %s, want %s", tt.nudges, s, tt.want)
		}
		for _, e := range got { // appending to one must not reach into the next
			_ = append(e.Taps, -1)
		}
		for i := range taps {
			if taps[i] != i {
				t.Errorf("%v: the taps were written to: %v", tt.nudges, taps)
			}
		}
	}
}
