package session

import (
	"fmt"

	"drylane/show"
	"drylane/show/timebase"
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

// Replay runs the session's commands through a fresh transport and compares
// what every cue does, to the frame. It returns how many cue events agreed,
// and a *Difference if one did not.
func Replay(log *Log) (agreed int, err error) {
	t := show.NewTransport(log.Header.Plan())
	var replayed []show.Event // cue events not yet seen in the log
	var ev []show.Event
	keep := func() {
		for _, e := range ev {
			if cueEvent(e.Kind.String()) {
				replayed = append(replayed, e)
			}
		}
		ev = ev[:0]
	}
	for _, entry := range log.Entries {
		if c, ok := CommandOf(entry, t.Asked()); ok {
			ev, err = t.Do(c, timebase.Frame(entry.Heard), ev)
			if err != nil {
				return agreed, &Difference{entry.N, entry.Kind, "refused: " + err.Error()}
			}
		} else if cueEvent(entry.Kind) || entry.Kind == show.EventEnded.String() {
			// Taps, calls and the like do not drive the run: they are stamped by
			// an estimate that may lie ahead of what the device had reported.
			ev = t.Advance(HeardAt(t, entry), ev)
		}
		keep()
		if !cueEvent(entry.Kind) {
			continue
		}
		logged := describeEntry(entry)
		if len(replayed) == 0 {
			return agreed, &Difference{entry.N, logged, "nothing happens then"}
		}
		if again := describeEvent(replayed[0], log.Header.Cues); again != logged {
			return agreed, &Difference{entry.N, logged, again}
		}
		replayed = replayed[1:]
		agreed++
	}
	if n := len(log.Entries); len(replayed) > 0 && closed(log) {
		return agreed, &Difference{log.Entries[n-1].N, "that was all", describeEvent(replayed[0], log.Header.Cues)}
	}
	return agreed, nil
}

// HeardAt is what had been heard of the music at an entry that is no command, for
// the transport of a replay. A cue that fires on the frame at which the run began, or
// went on, does so when that frame is heard.
func HeardAt(t *show.Transport, e Entry) timebase.Frame {
	at := timebase.Frame(e.Heard)
	if t.Waits() && at == t.Heard() && (e.Kind == show.EventFired.String() || e.Kind == show.EventPassed.String()) {
		at++
	}
	return at
}

// closed reports whether the session ended in order; otherwise its last
// events may be missing.
func closed(log *Log) bool {
	n := len(log.Entries)
	return n > 0 && log.Entries[n-1].Kind == KindClosed
}

func cueEvent(kind string) bool {
	switch kind {
	case show.EventFired.String(), show.EventPassed.String(), show.EventMoved.String(), show.EventBroke.String():
		return true
	}
	return false
}

func describeEntry(e Entry) string {
	var effect int64
	if e.Data.Effect != nil {
		effect = *e.Data.Effect
	}
	return fmt.Sprintf("cue %s %s at frame %d, effect at %d", e.Data.Cue, e.Kind, e.Heard, effect)
}

func describeEvent(e show.Event, cues []Cue) string {
	return fmt.Sprintf("cue %s %s at frame %d, effect at %d", cues[e.Cue].ID, e.Kind, e.At, e.Effect)
}
