package crew

import (
	"fmt"
	"slices"
	"time"

	"drylane/show/words"
)

// AskDown notes that a member asks to have their position stood down: until that is
// done, they take it back, or they leave.
func (r *Roster) AskDown(id, why string, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	switch {
	case err != nil || m.Asks:
		return events, err
	case m.Role.Kind != Position:
		return events, fmt.Errorf("found %s; wanted a position: nobody else has one to stand down", m.Role.Kind)
	}
	m.Asks, m.asked = true, at
	return append(events, Event{What: AsksDown, Member: *m, Why: CleanWords(why)}), nil
}

// Withdraw notes that a member does not ask for that any more.
func (r *Roster) Withdraw(id string, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	if err != nil || !m.Asks {
		return events, err
	}
	m.Asks = false
	return append(events, Event{What: AsksNoMore, Member: *m}), nil
}

// StoodDown ends what the members at a position asked for, which is done, and reports
// whether any did.
func (r *Roster) StoodDown(position string) (any bool) {
	for _, m := range r.list {
		if m.Asks && m.Role.Position == position {
			m.Asks, any = false, true
		}
	}
	return any
}

// Asking are those who ask to have their position stood down, the first to ask first.
func (r *Roster) Asking() (list []Member) {
	for _, m := range r.list {
		if m.Asks {
			list = append(list, *m)
		}
	}
	slices.SortStableFunc(list, func(a, b Member) int { return int(a.asked - b.asked) })
	return list
}

// AskWords says who asks to have their position stood down, as it is read out; empty
// for nobody.
func AskWords(list []Member) string {
	if len(list) == 1 {
		return list[0].Name + " asks to stand " + list[0].Role.Position + " down"
	}
	const most = 2
	var names []string
	for _, m := range list {
		if !slices.Contains(names, m.Role.Position) {
			names = append(names, m.Role.Position)
		}
	}
	switch n := len(names) - most; {
	case len(names) == 0:
		return ""
	case n > 1:
		names = append(names[:most], fmt.Sprintf("%d more", n))
	}
	return fmt.Sprintf("%d ask to stand down: %s", len(list), words.List(names))
}
