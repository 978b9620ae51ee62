package session

import (
	"errors"
	"fmt"

	"drylane/show"
)

// A Difference is the first place where a replay and a session disagree.
type Difference struct {
	N      int64 // the entry
	Logged string
	Replay string
}

func (d *Difference) Error() string {
	return fmt.Sprintf("event %d differs: the session says %s, the replay says %s", d.N, d.Logged, d.Replay)
}

// Replay holds what every cue did in the session against what the session's
// commands lead to, to the frame. It returns how many cue events agreed, and a
// *Difference if one did not. What was done at a field board, on the go / no-go
// list and about people in the field is done again, too, and what was said of cues is
// said again.
func Replay(log *Log) (agreed int, err error) {
	for e, err := range log.Walk() {
		if err != nil {
			return agreed, err
		}
		if cueKinds[e.Kind] {
			agreed++
		}
	}
	_, errField := log.Field()
	_, errReady := log.Ready()
	_, errSafe := log.MadeSafe()
	_, errSaid := log.Said()
	return agreed, errors.Join(errField, errReady, errSafe, errSaid)
}

func describeEntry(e *Entry) string {
	return fmt.Sprintf("cue %s %s at frame %d, effect at %d", e.Data.Cue, e.Kind, e.Heard, e.Data.effect())
}

// effect is the frame of a cue's effect; 0 if none is told.
func (d *Data) effect() int64 {
	if d.Effect == nil {
		return 0
	}
	return *d.Effect
}

func describeEvent(e show.Event, cues []CueLine) string {
	return fmt.Sprintf("cue %s %s at frame %d, effect at %d", cues[e.Cue].ID, e.Kind, e.At, e.Effect)
}
