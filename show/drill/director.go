package drill

import (
	"time"

	"drylane/show"
)

// A View is what a Director needs to know of a run.
type View struct {
	State show.State
	Heard show.Frame
	Now   time.Time
}
