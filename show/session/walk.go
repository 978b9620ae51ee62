package session

import (
	"iter"

	"drylane/show"
	"drylane/show/timebase"
)

// A Replayed is an entry of a log as a replay comes to it.
type Replayed struct {
	*Entry
	// Command is what led to the entry; Did says that one did.
	Command show.Command
	Did     bool
	// Before is the transport when the music had been heard up to the entry,
	// After when it had taken the command, too. They and Events change with the
	// next entry: a copy of a Transport stays as it is.
	Before, After *show.Transport
	// Events are what the transport did since the entry before.
	Events []show.Event
}

// Walk runs the session's commands through a fresh transport and yields every
// entry with what came of it. It is the only way in which a log is run again.
//
// What every cue does is compared with what the log says, to the frame: at the
// first difference, and at a command that the transport refuses, the walk ends
// with a *Difference in place of an entry.
func (log *Log) Walk() iter.Seq2[*Replayed, error] {
	return func(yield func(*Replayed, error) bool) {
		w := walker{cues: log.Header.Cues, t: show.NewTransport(log.Header.Plan())}
		for i := range log.Entries {
			if err := w.to(&log.Entries[i]); err != nil {
				yield(nil, err)
				return
			}
			if !yield(&w.at, nil) {
				return
			}
		}
		if n := len(log.Entries); len(w.due) > 0 && log.closed() {
			yield(nil, &Difference{log.Entries[n-1].N, "that was all", describeEvent(w.due[0], w.cues)})
		}
	}
}

// closed reports whether the session ended in order; otherwise its last
// events may be missing.
func (log *Log) closed() bool {
	n := len(log.Entries)
	return n > 0 && log.Entries[n-1].Kind == KindClosed
}

// A walker goes through a log.
type walker struct {
	cues   []CueLine
	t      *show.Transport
	before show.Transport
	at     Replayed
	due    []show.Event // of cues, not yet seen in the log
}

// to goes on to an entry.
func (w *walker) to(e *Entry) error {
	heard := timebase.Frame(e.Heard)
	ev := w.at.Events[:0]
	if e.Kind != KindTap && e.Kind != KindCall {
		// Those two are stamped with an estimate, which may run ahead of what the
		// device turns out to have played.
		ev = w.t.Advance(heardAt(w.t, e), ev)
	}
	w.before = *w.t
	w.at = Replayed{Entry: e, Before: &w.before, After: w.t}
	var err error
	if w.at.Command, w.at.Did = commandOf(e, w.t.Asked(), w.t.Plan().Rate); w.at.Did {
		w.at.Command.Anyway = true // what the log tells of was taken
		if ev, err = w.t.Do(w.at.Command, heard, ev); err != nil {
			return &Difference{e.N, e.Kind, "refused: " + err.Error()}
		}
	}
	w.at.Events = ev
	for _, e := range ev {
		if isCueEvent(e.Kind) {
			w.due = append(w.due, e)
		}
	}
	return w.compare(e)
}

// heardAt is what had been heard of the music at an entry. A cue that fires on the
// frame at which the run began, or went on, does so when that frame is heard.
func heardAt(t *show.Transport, e *Entry) timebase.Frame {
	at := timebase.Frame(e.Heard)
	if t.Waits() && at == t.Heard() && (e.Kind == show.EventFired.String() || e.Kind == show.EventSkipped.String()) {
		at++
	}
	return at
}

// compare holds an entry that is a cue's against what the cue does by the
// transport.
func (w *walker) compare(e *Entry) error {
	if !cueKinds[e.Kind] {
		return nil
	}
	if len(w.due) == 0 {
		return &Difference{e.N, describeEntry(e), "nothing happens then"}
	}
	did := w.due[0]
	if e.Kind != did.Kind.String() || e.Data.Cue != w.cues[did.Cue].ID || e.Heard != int64(did.At) || e.Data.effect() != int64(did.Effect) {
		return &Difference{e.N, describeEntry(e), describeEvent(did, w.cues)}
	}
	w.due = w.due[1:]
	return nil
}

func isCueEvent(k show.EventKind) bool {
	switch k {
	case show.EventFired, show.EventSkipped, show.EventMoved, show.EventBroke:
		return true
	}
	return false
}

// cueKinds are the kinds of entry that tell what a cue does.
var cueKinds = map[string]bool{show.EventFired.String(): true, show.EventSkipped.String(): true,
	show.EventMoved.String(): true, show.EventBroke.String(): true}

// End runs the whole session again and returns its transport as it ended.
func End(log *Log) (*show.Transport, error) {
	end := show.NewTransport(log.Header.Plan())
	for e, err := range log.Walk() {
		if err != nil {
			return nil, err
		}
		end = e.After
	}
	return end, nil
}
