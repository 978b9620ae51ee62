package session

import (
	"time"

	"drylane/show"
	"drylane/show/board"
)

// A FieldRun is the field board of a session, as it was answered.
type FieldRun struct {
	*board.Board
	Armed   bool          // the show was armed
	At      time.Duration // when it first was, else of the last entry, since the board was opened
	Refused int           // how often arming was asked for while somebody was out
}

// Account is how the board was answered by the first arming, or at all.
func (f *FieldRun) Account() board.Account { return f.Board.Account(f.At) }

// Field does again what was done at the field board; nil when there was none. The
// error is a *Difference: the log has what the board would not take, or arms the show
// while somebody is out.
func (log *Log) Field() (*FieldRun, error) {
	if log.Header.Field == nil {
		return nil, nil
	}
	f := &FieldRun{Board: board.New(*log.Header.Field)}
	var opened time.Time
	for i := range log.Entries {
		e := &log.Entries[i]
		if e.Kind == KindBoard {
			opened = e.Wall
		}
		if opened.IsZero() {
			continue
		}
		if err := f.take(e, e.Wall.Sub(opened)); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// take takes an entry, which came since after the board was opened.
func (f *FieldRun) take(e *Entry, since time.Duration) error {
	if !f.Armed {
		f.At = since
	}
	var deed board.Deed
	switch e.Kind {
	case show.EventArmed.String(), show.EventReentered.String():
		f.Armed = true
		if out := f.Out(since); len(out) > 0 {
			return &Difference{e.N, e.Kind, "refused: somebody is in the field at " + show.Clean(out[0].Device)}
		}
		return nil
	case KindRefused:
		if e.Data.Cause == show.CauseSomebodyOut {
			f.Refused++
		}
		return nil
	case KindMarked:
		deed = board.Deed{Act: board.Mark, Fault: e.Data.Fault}
	case KindSentOut:
		deed = board.Deed{Act: board.Repair}
	default:
		return nil
	}
	deed.Device, deed.At = e.Data.Device, time.Duration(e.Data.SinceNS)
	if err := f.Do(deed); err != nil {
		return &Difference{e.N, e.Kind, "refused: " + show.Clean(err.Error())}
	}
	return nil
}
