package session

import (
	"fmt"

	"drylane/show"
)

// said says what was said, where the cue or the position is told besides.
func (d *Data) said() string {
	if d.Member != "" {
		return d.Saw.String() + ", by " + d.who()
	}
	if d.Cue != "" {
		return d.Saw.String()
	}
	return "all that was commanded by then: " + d.Saw.String()
}

// Saying is what an entry says; ok is false for one that says nothing of a cue.
func (e *Entry) Saying() (w show.Saying, ok bool) {
	if e.Kind != KindSaid {
		return w, false
	}
	w = show.Saying{Saw: e.Data.Saw, Cue: -1, Position: e.Data.Name, By: e.Data.who()}
	if e.Data.Index != nil {
		w.Cue = *e.Data.Index
	}
	return w, true
}

// Said runs the session again and returns what was said of its cues, as it stood at the
// end. A cue that any run of the session fired was commanded. The error says where the
// log contradicts itself.
func (log *Log) Said() (show.Sayings, error) {
	var said show.Sayings
	cues := log.Header.Cues
	fired := make([]bool, len(cues))
	for e, err := range log.Walk() {
		if err != nil {
			return said, err
		}
		for _, ev := range e.Events {
			if ev.Kind == show.EventFired {
				fired[ev.Cue] = true
			}
		}
		w, ok := e.Saying()
		if !ok {
			continue
		}
		next, _, err := said.With(w, len(cues), func(i int) string { return cues[i].Position }, func(i int) bool { return fired[i] })
		if err != nil {
			return said, fmt.Errorf("event %d: %w", e.N, err)
		}
		said = next
	}
	return said, nil
}
