package crew

import (
	"fmt"
	"strings"
	"time"
)

// Called begins a hold, called at that time, and returns its number: 1, 2, 3, ...
// While one is on, that one's.
func (r *Roster) Called(at time.Duration) int {
	if !r.held {
		r.hold++
		r.held, r.called = true, at
	}
	return r.hold
}

// Over ends a hold: the run goes on, or was cut.
func (r *Roster) Over() { r.held = false }

// Hold is the number of the hold that is on; 0 when none is.
func (r *Roster) Hold() int {
	if !r.held {
		return 0
	}
	return r.hold
}

// Acknowledge notes that a member has acknowledged a hold. Of any but the one that
// is on nothing is noted: an answer that comes late is no answer to the next.
func (r *Roster) Acknowledge(id string, hold int, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	if err != nil || hold != r.Hold() || hold == 0 || m.answered == hold {
		return events, err
	}
	m.answered, m.told, m.After, m.Struck = hold, hold, max(0, at-r.called), false
	return append(events, Event{What: HasAnswered, Member: *m, Hold: hold, After: m.After}), nil
}

// An Answer is how far a member has come with the hold that is on.
type Answer uint8

// The answers.
const (
	NoHold   Answer = iota // none is on, or this member is not asked: it was not called to them, or they are a trainer
	NotTold                // the machine has not shown it yet
	Awaited                // the machine shows it, the member has not acknowledged it
	Answered               // acknowledged
	Struck                 // not awaited any more
)

// AnswerOf is how far a member has come with the hold that is on.
func (r *Roster) AnswerOf(m Member) Answer {
	switch n := r.Hold(); {
	case n == 0:
		return NoHold
	case m.answered == n:
		return Answered
	case m.joinedIn == n, m.Role.Kind == Trainer: // who stands beside the run, not in it
		return NoHold
	case m.Struck:
		return Struck
	case m.told == n:
		return Awaited
	}
	return NotTold
}

// Waiting are those who have not acknowledged the hold that is on, in the order in
// which they joined.
func (r *Roster) Waiting() (list []Member) {
	for _, m := range r.list {
		if a := r.AnswerOf(*m); !m.Gone && (a == NotTold || a == Awaited) {
			list = append(list, *m)
		}
	}
	return list
}

// StrikeOff takes a member off the list of those who are awaited, with what they
// refused. It is the shooter's.
func (r *Roster) StrikeOff(name string) ([]Event, error) {
	for _, m := range r.list {
		if !strings.EqualFold(m.Name, name) {
			continue
		}
		if m.Struck {
			return nil, fmt.Errorf("%s is struck off already", m.Name)
		}
		m.Struck, m.Objects = true, ""
		if m.Gone {
			r.drop(m.ID)
		}
		return []Event{{What: WasStruckOff, Member: *m}}, nil
	}
	return nil, fmt.Errorf("nobody in the crew is called %q", CleanWords(name))
}

// SetReady notes whether a member's part of the field is ready.
func (r *Roster) SetReady(id string, ready bool, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	switch {
	case err != nil || m.Ready == ready:
		return events, err
	case !m.Role.Kind.May(Ready):
		return events, fmt.Errorf("%s has nothing to be ready", m.Role.Kind)
	}
	m.Ready, m.Struck = ready, false
	if ready {
		return append(events, Event{What: IsReady, Member: *m}), nil
	}
	return append(events, Event{What: IsUnready, Member: *m}), nil
}

// Refuse notes that a member refuses a resume, and why.
func (r *Roster) Refuse(id, why string, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	switch {
	case err != nil:
		return events, err
	case !m.Role.Kind.May(Object):
		return events, fmt.Errorf("found %s; wanted safety: nobody else refuses a resume", m.Role.Kind)
	}
	if why = CleanWords(why); why == "" {
		why = "without a reason given"
	}
	if m.Objects == why {
		return events, nil
	}
	m.Objects, m.Struck = why, false
	return append(events, Event{What: HasObjected, Member: *m, Why: why}), nil
}

// Allow takes back what a member refused.
func (r *Roster) Allow(id string, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	if err != nil || m.Objects == "" {
		return events, err
	}
	m.Objects = ""
	return append(events, Event{What: HasAllowed, Member: *m}), nil
}

// Forbids says who refuses a resume, and why; empty when nobody does.
func (r *Roster) Forbids() string {
	var said []string
	for _, m := range r.list {
		if m.Objects != "" {
			said = append(said, fmt.Sprintf("%s %s refuses it: %s", m.Role.Words(), m.Name, m.Objects))
		}
	}
	return strings.Join(said, "; ")
}

// Lost are the members who are lost and awaited.
func (r *Roster) Lost() (list []Member) {
	for _, m := range r.list {
		if m.Lost && !m.Struck && !m.Gone {
			list = append(list, *m)
		}
	}
	return list
}
