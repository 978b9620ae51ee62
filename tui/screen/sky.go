package screen

import (
	"fmt"
	"time"
)

// NothingUp is what a list can say when none of its burn times has anything up: it
// knows nothing of duds, debris and what is wrong in it.
const NothingUp = "LIST: nothing up; ask the spotter"

// StillUp says what is up by the list: how many effects, the last of them for
// how long, and how many have no burn time, so that nobody knows.
func StillUp(up int, last time.Duration, unknown int) string {
	switch {
	case up == 0 && unknown == 0:
		return NothingUp
	case up == 0:
		return fmt.Sprintf("LIST: %d unknown; ask the spotter", unknown)
	case unknown == 0:
		return fmt.Sprintf("%d still up for %s", up, SpanUp(last))
	}
	return fmt.Sprintf("%d still up for %s, %d unknown", up, SpanUp(last), unknown)
}
