package rehearsal

import (
	"time"

	"drylane/show/board"
)

// What a short day makes of the minutes that people take in the field, so that a whole
// one can be tried at a sitting. The log has these figures, so that a replay knows them.
const (
	shortWalk = 4 * time.Second
	shortWork = 4 * time.Second
	shortWait = 20 * time.Second
)

// shorten makes the walks and repairs of a field short.
func shorten(f *board.Field) {
	for i := range f.Devices {
		f.Devices[i].Fix = board.Fix{Walk: shortWalk, Work: shortWork}
	}
}
