package crew

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// A Member is somebody who joined. Times are by the lead's clock, since it began.
type Member struct {
	ID   string // of the member's machine; never shown
	Name string
	Role Role

	Joined time.Duration
	Heard  time.Duration // when the machine was last heard of
	Lost   bool          // ... which is too long ago
	Since  time.Duration // lost: when it was last heard of
	Struck bool          // off the list of those who are awaited, until they are heard of again
	Gone   bool          // left; kept while they refuse a resume

	Ready    bool
	Asks     bool          // to have their position stood down
	asked    time.Duration // ... since when
	Objects  string        // why a resume is refused; empty when it is not
	Bound    time.Duration // how well the machine knows the lead's clock; 0: not told yet
	told     int           // the latest hold that the machine shows
	answered int           // ... that the member has acknowledged
	joinedIn int           // the hold during which they joined: nobody called it to them
	After    time.Duration // the latest acknowledgement: how long after the hold was called
}

// A What is what happened to a member. Its text is the word for it in logs.
type What string

// What can happen to a member.
const (
	HasJoined    What = "joined"
	HasLeft      What = "left"
	HasRenamed   What = "renamed"
	HasChanged   What = "changed role"
	IsLost       What = "lost"
	IsBack       What = "back"
	HasAnswered  What = "acknowledged"
	IsReady      What = "ready"
	IsUnready    What = "not ready"
	HasObjected  What = "refuses a resume"
	HasAllowed   What = "allows a resume"
	WasStruckOff What = "struck off"
	AsksDown     What = "asks to stand down" // their position
	AsksNoMore   What = "asks no more to stand down"
	HasSeen      What = "saw a cue"
	HasMissed    What = "a cue did not go"
	HasTapped    What = "tapped"
	HasNoted     What = "noted"
	WasRefused   What = "refused" // a machine that wanted to join, or a deed
	WrongCode    What = "wrong code"
)

// An Event is something that happened in the crew.
type Event struct {
	What   What
	Member Member        // as it is afterwards
	Was    string        // renamed, changed role: what it was before
	Hold   int           // acknowledged: which
	After  time.Duration // acknowledged: how long after it was called; back: how long they were lost
	Why    string        // refuses a resume, asks to stand down: in the member's words
}

// A Roster is who is in the crew. It belongs to one goroutine.
type Roster struct {
	list   []*Member
	hold   int // number of the latest hold; 0: there was none
	held   bool
	called time.Duration // when it was called
}

// MaxMembers is how many can be in one crew.
const MaxMembers = 100

// Join lets a machine in under a name; at is when. One that is there already comes
// back, or changes its name or its role. Who was struck off while lost leaves it to whoever
// comes under their name: they may have had to start anew. The error is for whoever wants
// to join.
func (r *Roster) Join(id, name string, role Role, at time.Duration) ([]Event, error) {
	name, err := CleanName(name)
	if err != nil {
		return nil, err
	}
	left, err := r.free(id, name)
	if err != nil {
		return nil, err
	}
	m := r.Of(id)
	if m == nil {
		if len(r.list) >= MaxMembers {
			return nil, fmt.Errorf("%d are in the crew already; wanted one to leave", MaxMembers)
		}
		m = &Member{ID: id, Name: name, Role: role, Joined: at, Heard: at}
		m.joinsDuring(r)
		r.list = append(r.list, m)
		return append(left, Event{What: HasJoined, Member: *m}), nil
	}
	events := append(left, r.heard(m, at)...)
	if m.Gone {
		m.Gone = false
		m.joinsDuring(r)
		events = append(events, Event{What: HasJoined, Member: *m})
	}
	if m.Name != name {
		events = append(events, m.rename(name))
	}
	if was := m.Role; was != role {
		m.Role, m.Ready, m.Asks = role, false, false
		if !role.Kind.May(Object) {
			m.Objects = ""
		}
		events = append(events, Event{What: HasChanged, Member: *m, Was: was.String()})
	}
	return events, nil
}

// joinsDuring notes the hold that is on: it was not called to whoever comes now.
func (m *Member) joinsDuring(r *Roster) {
	m.joinedIn, m.told, m.answered = 0, 0, 0
	if r.held {
		m.joinedIn = r.hold
	}
}

// free makes a name free that a member has who is lost and struck off. The error is that
// of a name that any other has.
func (r *Roster) free(id, name string) ([]Event, error) {
	m := r.another(id, name)
	switch {
	case m == nil:
		return nil, nil
	case m.Lost && m.Struck:
		r.drop(m.ID)
		return []Event{{What: HasLeft, Member: *m}}, nil
	case m.Lost:
		return nil, fmt.Errorf("%s is in the crew already, as %s, and lost; wanted another name, or the shooter to strike %s off first", m.Name, m.Role.Words(), m.Name)
	}
	return nil, fmt.Errorf("%s is in the crew already, as %s; wanted another name", m.Name, m.Role.Words())
}

// another is the member at another machine who has that name; nil for nobody.
func (r *Roster) another(id, name string) *Member {
	for _, m := range r.list {
		if m.ID != id && !m.Gone && strings.EqualFold(m.Name, name) {
			return m
		}
	}
	return nil
}

// FreeName is a name that nobody has: that one, or with a number behind it.
func (r *Roster) FreeName(name string) string {
	free := name
	for n := 2; r.another("", free) != nil; n++ {
		free = fmt.Sprintf("%s %d", name, n)
	}
	return free
}

// There are how many members of a kind are there and not lost, the one at that machine
// left out.
func (r *Roster) There(k Kind, but string) (n int) {
	for _, m := range r.list {
		if m.Role.Kind == k && m.ID != but && !m.Lost && !m.Gone {
			n++
		}
	}
	return n
}

func (m *Member) rename(name string) Event {
	was := m.Name
	m.Name = name
	return Event{What: HasRenamed, Member: *m, Was: was}
}

// errStranger is the error of a deed of somebody who has not joined.
var errStranger = errors.New("nobody has joined from there")

// Of returns the member of a machine; nil when there is none.
func (r *Roster) Of(id string) *Member {
	for _, m := range r.list {
		if m.ID == id {
			return m
		}
	}
	return nil
}

// member is Of for those who are there.
func (r *Roster) member(id string, at time.Duration) (*Member, []Event, error) {
	m := r.Of(id)
	if m == nil || m.Gone {
		return nil, nil, errStranger
	}
	return m, r.heard(m, at), nil
}

// Rename gives a member another name.
func (r *Roster) Rename(id, name string, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	if err != nil {
		return nil, err
	}
	if name, err = CleanName(name); err != nil {
		return events, err
	}
	left, err := r.free(id, name)
	if err != nil || m.Name == name {
		return events, err
	}
	return append(append(events, left...), m.rename(name)), nil
}

// Leave takes a member out of the crew. One who refuses a resume does so until the
// shooter strikes them off.
func (r *Roster) Leave(id string, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	if err != nil {
		return nil, err
	}
	m.Gone, m.Ready, m.Asks = true, false, false
	events = append(events, Event{What: HasLeft, Member: *m})
	if m.Objects == "" {
		r.drop(id)
	}
	return events, nil
}

func (r *Roster) drop(id string) {
	r.list = slices.DeleteFunc(r.list, func(m *Member) bool { return m.ID == id })
}

// HeardOf notes that a machine was heard of. hold is the latest hold that it shows,
// bound how well it knows the lead's clock.
func (r *Roster) HeardOf(id string, hold int, bound, at time.Duration) ([]Event, error) {
	m, events, err := r.member(id, at)
	if err != nil {
		return nil, err
	}
	m.told, m.Bound = max(m.told, min(hold, r.hold)), bound
	return events, nil
}

// heard notes that a member was heard of.
func (r *Roster) heard(m *Member, at time.Duration) []Event {
	was := *m
	m.Heard = max(m.Heard, at)
	if !m.Lost {
		return nil
	}
	m.Lost, m.Struck = false, false
	return []Event{{What: IsBack, Member: *m, After: at - was.Since}}
}

// Look finds out who is lost.
func (r *Roster) Look(at time.Duration) (events []Event) {
	for _, m := range r.list {
		if !m.Lost && !m.Gone && at-m.Heard > LostAfter {
			m.Lost, m.Since = true, m.Heard
			events = append(events, Event{What: IsLost, Member: *m})
		}
	}
	return events
}

// Members are those in the crew, in the order in which they joined.
func (r *Roster) Members() []Member {
	list := make([]Member, 0, len(r.list))
	for _, m := range r.list {
		list = append(list, *m)
	}
	return list
}
