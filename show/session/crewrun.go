package session

import (
	"slices"
	"time"

	"drylane/show"
	"drylane/show/crew"
)

// A Person is what a session tells of one member of its crew. One who comes back under
// the same name is the same.
type Person struct {
	Name     string
	Role     string          // the latest
	Called   int             // holds they called for
	Holds    int             // holds that began while they were there
	Answered []time.Duration // the holds they acknowledged: how long after each was called
	Lost     int             // how often nothing was heard of them
	LostFor  time.Duration   // ... in all, as far as they came back
	Away     bool            // ... and they had not come back when the log ended
	Refused  int             // resumes they refused
	Seen     int             // cues they told of as gone
	Missed   []string        // ... as not gone
	Taps     int
	Place    string        // where they tap: the latest; empty: not told
	Bound    time.Duration // within which all is known of when they answered
	there    bool
}

// Crew tells of everybody who took part from a machine of their own, in the order in
// which they came.
func (log *Log) Crew() (people []*Person) {
	for i := range log.Entries {
		e := &log.Entries[i]
		switch e.Kind {
		case show.EventHeld.String():
			for _, p := range people {
				if p.there {
					p.Holds++
				}
				if (e.By == show.ByCrew || e.By == show.ByInstructor) && p.Name == e.Data.Member {
					p.Called++
				}
			}
		case KindCrew, KindSaid: // what is said at the console is nobody's of the crew
			people = took(people, &e.Data)
		}
	}
	return people
}

// took takes down an entry of the crew.
func took(people []*Person, d *Data) []*Person {
	name := d.Member
	if d.Crew == crew.HasRenamed {
		name = d.Was
	}
	i := slices.IndexFunc(people, func(p *Person) bool { return p.Name == name })
	if i < 0 {
		if d.Crew != crew.HasJoined {
			return people // somebody who was refused, or a wrong code
		}
		i, people = len(people), append(people, &Person{})
	}
	people[i].took(d)
	return people
}

func (p *Person) took(d *Data) {
	p.Name, p.Role = d.Member, d.Role
	switch d.Crew {
	case crew.HasJoined:
		p.there, p.Place, p.Away = true, d.Place, false // perhaps on another machine
	case crew.HasLeft:
		p.there = false
	case crew.IsLost:
		p.Lost++
		p.Away = true
	case crew.IsBack:
		p.LostFor += time.Duration(d.AfterNS)
		p.Away = false
	case crew.HasAnswered:
		p.Answered, p.Bound = append(p.Answered, time.Duration(d.AfterNS)), max(p.Bound, time.Duration(d.BoundNS))
	case crew.HasObjected:
		p.Refused++
	case crew.HasSeen:
		p.Seen++
	case crew.HasMissed:
		p.Missed = append(p.Missed, d.Cue)
	case crew.HasTapped:
		p.Taps++
	}
}
