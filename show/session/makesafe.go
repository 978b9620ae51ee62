package session

import (
	"time"

	"drylane/show"
	"drylane/show/makesafe"
	"drylane/show/timebase"
	"drylane/show/words"
)

// Safe is the rule by which people went into the field, as a header has it.
type Safe struct {
	WaitNS int64 `json:"wait_ns"` // before anybody goes in
}

// A SafeRun is who was in the field in a session, and when it was safe.
type SafeRun struct {
	*makesafe.Book // as it stood at the end
	Stops          []SafeStop
	// Early are the entries that were refused at first, because the waiting time was not
	// over, Urged the commands that were refused with somebody in the field.
	Early, Urged []Refusal
	Ended        time.Time // the last entry
}

// A SafeStop is a time for which the show was safe, after it had been armed.
type SafeStop struct {
	From   time.Time
	To     time.Time // when it was armed again; zero: it was not
	Heard  timebase.Frame
	By     show.By
	Ended  bool   // the show had played to its end
	LastUp string // what was still up, in words
	Visits []makesafe.Visit
}

// MadeSafe does again who went in and who came back; nil for a session of an older
// format, or without the rule. The error is a *Difference: somebody is back who was not
// in, or the show is armed with somebody in the field.
func (log *Log) MadeSafe() (*SafeRun, error) {
	if log.Header.Safe == nil {
		return nil, nil
	}
	r := &SafeRun{Book: makesafe.New(time.Duration(log.Header.Safe.WaitNS))}
	for i := range log.Entries {
		if err := r.take(&log.Entries[i]); err != nil {
			return nil, err
		}
	}
	r.share()
	return r, nil
}

// take takes the next entry.
func (r *SafeRun) take(e *Entry) error {
	r.Ended = e.Wall
	var err error
	switch e.Kind {
	case show.EventCut.String(), show.EventEnded.String():
		r.Safe(e.Wall)
		r.Stops = append(r.Stops, SafeStop{From: e.Wall, Heard: timebase.Frame(e.Heard), By: e.By,
			Ended: e.Kind == show.EventEnded.String(), LastUp: e.Data.lastUp()})
	case show.EventArmed.String(), show.EventReentered.String():
		if in := r.In(); len(in) > 0 {
			return &Difference{e.N, e.Kind, "refused: " + show.Clean(in[0].Name) + " is in the field"}
		}
		if n := len(r.Stops); n > 0 && r.Stops[n-1].To.IsZero() {
			r.Stops[n-1].To = e.Wall
		}
	case KindEntered:
		err = r.Enter(e.Data.Who, e.Wall)
	case KindBack:
		if e.Data.Who != "" {
			err = r.Back(e.Data.Who, e.Wall)
		}
	case KindRefused:
		switch e.Data.Cause {
		case show.CauseWaiting:
			r.Early = append(r.Early, Refusal{e.N, e.Data.Asked, e.Data.Cause})
		case show.CauseSomebodyOut:
			r.Urged = append(r.Urged, Refusal{e.N, e.Data.Asked, e.Data.Cause})
		}
	}
	if err != nil {
		return &Difference{e.N, e.Kind, "refused: " + show.Clean(err.Error())}
	}
	return nil
}

// share puts the visits to the stops in which they began.
func (r *SafeRun) share() {
	for _, v := range r.Visits() {
		for i := len(r.Stops) - 1; i >= 0; i-- {
			if !v.In.Before(r.Stops[i].From) {
				r.Stops[i].Visits = append(r.Stops[i].Visits, v)
				break
			}
		}
	}
}

// entered says who went into the field.
func (d *Data) entered() string {
	if d.LeftNS == 0 {
		return d.Who
	}
	return d.Who + ", with " + timebase.ClockUp(time.Duration(d.LeftNS)) + " of the waiting time left"
}

// lastUp says what was still up by the list.
func (d *Data) lastUp() string { return show.Clean(words.LastUp(d.Up, d.Unknown, d.LastUp)) }
