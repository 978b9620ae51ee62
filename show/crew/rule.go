package crew

import (
	"time"

	"drylane/show"
)

// LostAfter is how long a member may be silent before it is lost, and how long a
// member hears nothing of the lead before it holds by itself: with the time it takes
// to notice, a second at most.
const LostAfter = 900 * time.Millisecond

// Holds reports whether the run is held when somebody of that kind is lost. By role
// it is for safety, the spotter and positions: who is in the field, and who watches
// over it, must hear the next hold.
func Holds(rule show.LostRule, k Kind) bool {
	switch rule {
	case show.LostHolds:
		return true
	case show.LostGoesOn:
		return false
	}
	return k == Safety || k == Spotter || k == Position
}
