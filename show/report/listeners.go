package report

import (
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drift"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Listener is somebody of the crew with the taps that they made at one place in one
// run.
type Listener struct {
	*seat
	Taps  []Tap
	Clock time.Duration // how far wrong the times of the taps may be, either way
}

// A seat is somebody at one place.
type seat struct {
	Name  string // the latest
	Place string // empty: not told
	Habit *session.Habit
}

// crew takes down where the crew's listeners are, and their taps.
func (b *builder) crew(d *session.Data) {
	name := show.Clean(d.Member)
	switch d.Crew {
	case crew.HasJoined:
		place := show.Clean(d.Place)
		if s := b.seats[name]; s != nil && s.Place == place { // back again
			s.Habit = d.Habit
		} else {
			b.seats[name] = &seat{Name: name, Place: place, Habit: d.Habit}
		}
	case crew.HasRenamed:
		was := show.Clean(d.Was)
		if s := b.seats[was]; s != nil {
			delete(b.seats, was)
			s.Name, b.seats[name] = name, s
		}
	case crew.HasTapped:
		if s := b.seats[name]; s != nil && d.At != nil {
			at := timebase.Frame(*d.At)
			l := b.run.listener(s)
			l.Taps = append(l.Taps, Tap{at, b.nudgeAt(at)})
			l.Clock = max(l.Clock, time.Duration(d.BoundNS))
		}
	}
}

// listener is the one who sits there.
func (r *Run) listener(s *seat) *Listener {
	for _, l := range r.Listeners {
		if l.seat == s {
			return l
		}
	}
	l := &Listener{seat: s}
	r.Listeners = append(r.Listeners, l)
	return l
}

// nudgeAt is the nudge that was asked for when a frame was heard, which may be before the
// latest came.
func (b *builder) nudgeAt(at timebase.Frame) time.Duration {
	nudge := b.t.Asked()
	for i := len(b.run.Nudges) - 1; i >= 0 && b.run.Nudges[i].Heard > at; i-- {
		nudge = b.run.Nudges[i].From
	}
	return nudge
}

// places joins the taps of the listeners with those of whoever sits at the console.
func (s *Sheet) places() {
	if len(s.Run.Listeners) == 0 {
		return
	}
	var list []drift.Listener
	taps := s.Run.Taps
	if len(taps) > 0 {
		who := drift.Listener{Name: s.Person.Name, Place: crew.AtMusic, Taps: s.taps(taps)}
		if who.Name == "" {
			who.Name = "console"
		}
		if p := s.Person; p.Calibrated {
			who.Habit = &drift.Tapper{Bias: p.Bias, Scatter: p.Scatter, Taps: p.Taps}
		}
		list = append(list, who)
	}
	for _, l := range s.Run.Listeners {
		list = append(list, drift.Listener{Name: l.Name, Place: l.Place, Habit: l.Habit.Tapper(), Clock: l.Clock, Taps: s.taps(l.Taps)})
		taps = append(taps[:len(taps):len(taps)], l.Taps...)
	}
	whom := session.Ways(s.Run.Header.Places, list)
	j := drift.JoinPlaces(s.asListed(), list, whom, reachOf(taps))
	s.Places = &j
}
