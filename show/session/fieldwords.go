package session

import (
	"time"

	"drylane/show/board"
	"drylane/show/timebase"
	"drylane/show/words"
)

// field says what happened at the field board.
func (d *Data) field(kind string) string {
	switch kind {
	case KindBoard:
		return words.Count(d.Count, "device") + " expected"
	case KindMarked:
		return board.MarkText(d.Device, d.Fault)
	case KindSentOut:
		return "to " + d.Device + ", back in " + timebase.Clock(time.Duration(d.BackNS-d.SinceNS).Round(time.Second))
	}
	if d.Who != "" {
		return d.Who
	}
	return "from " + d.Device
}
