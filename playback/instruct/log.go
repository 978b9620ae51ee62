package instruct

import (
	"sync"

	"drylane/show"
	"drylane/show/session"
)

// A Log keeps the latest events of a run, so that an instructor who comes late
// is told them. The zero Log is ready; its Add is a deck's OnEntry.
type Log struct {
	mu   sync.Mutex
	kept [][]byte // as lines; never written to
	lost int64    // events before kept[0]
	dry  bool     // the latest tells that the sound ran dry: more of that is not news
	wake func()
}

// Add takes an event. Those that only follow from the cue list are left out:
// the state tells of them, and they would push everything else out of sight. It
// returns at once. Safe to call from any goroutine.
func (l *Log) Add(e session.Entry) {
	switch e.Kind {
	case show.EventFired.String(), show.EventSkipped.String(), show.EventMoved.String(), show.EventBroke.String():
		return
	}
	b := line(Message{Event: &e})
	l.mu.Lock()
	dry := e.Kind == session.KindUnderrun
	if dry && l.dry {
		l.mu.Unlock()
		return
	}
	l.dry = dry
	l.kept = append(l.kept, b)
	if len(l.kept) > maxKept {
		l.kept = l.kept[1:]
		l.lost++
	}
	wake := l.wake
	l.mu.Unlock()
	if wake != nil {
		wake()
	}
}

// since returns the events from number n on that are kept, as lines, and the
// number of the next one to come.
func (l *Log) since(n int64) ([][]byte, int64) {
	l.mu.Lock()
	defer l.mu.Unlock()
	next := l.lost + int64(len(l.kept))
	return l.kept[min(next, max(n, l.lost))-l.lost:], next
}

// notify has wake called after each event.
func (l *Log) notify(wake func()) {
	l.mu.Lock()
	l.wake = wake
	l.mu.Unlock()
}
