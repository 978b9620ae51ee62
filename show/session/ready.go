package session

import (
	"drylane/show"
	"drylane/show/ready"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A ReadyRun is the go / no-go list of a session, as it was answered.
type ReadyRun struct {
	*ready.List // as it stood at the end
	Answers     []Answered
	Armings     []Arming
	Refused     []Refusal // armings and starts that were refused, for want of a go or for a no-go
}

// Answered is an answer that was given. Turn is whose turn it was, where it came out of
// turn.
type Answered struct {
	ready.Deed
	By   show.By
	Turn string
}

// An Arming is one of a session, with those who were not go; none when all were.
type Arming struct {
	Heard   timebase.Frame
	Without []string
}

// A Refusal is a command that was refused at first, or for good.
type Refusal struct {
	N     int64 // the entry
	Asked string
	Cause show.Cause
}

// Ready does again what was answered on the go / no-go list; nil when the session had
// none, as in older formats. The error is a *Difference: the log has what the list would
// not take, or arms the show against a no-go.
func (log *Log) Ready() (*ReadyRun, error) {
	if log.Header.Ready == nil {
		return nil, nil
	}
	r := &ReadyRun{List: ready.New(log.Header.Ready)}
	for i := range log.Entries {
		if err := r.take(&log.Entries[i]); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// take takes the next entry.
func (r *ReadyRun) take(e *Entry) error {
	switch e.Kind {
	case KindAnswered:
		deed := ready.Deed{Who: e.Data.Who, Answer: e.Data.Answer, Reason: e.Data.Reason}
		turn, err := r.Give(deed)
		if err != nil {
			return &Difference{e.N, e.Kind, "refused: " + show.Clean(err.Error())}
		}
		r.Answers = append(r.Answers, Answered{deed, e.By, turn})
	case show.EventArmed.String(), show.EventReentered.String():
		if no := r.Against(); len(no) > 0 {
			return &Difference{e.N, e.Kind, "refused: no-go from " + show.Clean(no[0])}
		}
		r.Armings = append(r.Armings, Arming{timebase.Frame(e.Heard), r.Missing()})
	case KindRefused:
		if c := e.Data.Cause; c == show.CauseWithoutGo || c == show.CauseNoGo {
			r.Refused = append(r.Refused, Refusal{e.N, e.Data.Asked, c})
		}
	}
	if why := Upsets(e.Kind, e.Data.Cause); why != ready.NoUpset {
		r.Upset(why)
	}
	return nil
}

// Upsets says why answers have to be given again after an entry of a kind, with its cause;
// NoUpset for most kinds. A cut that is a step on the way to where the music is upsets
// none: nobody can have gone in meanwhile.
func Upsets(kind string, cause show.Cause) ready.Upset {
	switch kind {
	case show.EventCut.String():
		if cause == show.CauseGoesOnThere {
			return ready.NoUpset
		}
		return ready.MadeSafe
	case KindSentOut, KindEntered, KindBack:
		return ready.SomebodyIn
	case show.EventEnded.String():
		return ready.MadeSafe
	}
	return ready.NoUpset
}

// answered says what somebody answered.
func (d *Data) answered() string {
	said := d.Who + " " + string(d.Answer)
	switch {
	case d.Answer == show.NoAnswer:
		said = d.Who + " withdrawn"
	case d.Reason != "":
		said += ": " + d.Reason
	}
	if d.Turn != "" {
		said += ", out of turn: " + d.Turn + " was next"
	}
	return said
}

// without says who was not go when the show was armed; empty when all were.
func (d *Data) without() string {
	if len(d.Without) == 0 {
		return ""
	}
	return "without go from " + words.List(d.Without)
}

// RefusedFor is how often a command was refused for a cause.
func (r *ReadyRun) RefusedFor(cause show.Cause) int {
	n := 0
	for _, x := range r.Refused {
		if x.Cause == cause {
			n++
		}
	}
	return n
}
