package crew

import (
	"cmp"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/crewclock"
	"drylane/show/session"
	"drylane/show/timebase"

	"github.com/nats-io/nats.go"
)

// A View is what a member knows of the run. It is never changed once returned.
type View struct {
	Welcome Welcome
	Out     string // why the lead does not let this machine in any more; empty: it is in
	State   State
	Came    bool          // a state has come
	came    time.Duration // ... the latest, by the own clock
	Silent  time.Duration // how long nothing has been heard of the lead
	Lost    bool          // ... which is too long: LINK LOST, and the run is held here
	LostAt  timebase.Frame
	Crew    []Line
	Cues    Cues
	Events  []session.Entry // in their order
	News    int             // how many have come, in whatever order
	Answer  Answer          // to the latest deed
	Answers int             // how many there were
	Over    bool            // the lead has ended the run
	Planned Planned         // trainers: what the drill has in store, as far as it has come
	pages   int             // ... of which so many pages
	Watched Watched         // trainers: how the run stands besides
	watched time.Duration   // ... when it came, by the own clock; 0: not yet
	Age     time.Duration   // ... how long ago that is
	Called  int             // HOLDs that were called here
	call    int             // ... the latest of them that was handed on to the run

	Wall    time.Time // when this was so, by this machine
	Clock   crewclock.Reading
	Clocked bool // the lead's clock is known, by Clock
}

// Running reports whether the run goes on, as far as it is known here: where nothing
// is heard of the lead it is held.
func (v *View) Running() bool {
	return v.Came && !v.Lost && !v.Over && v.State.State == show.Running.String()
}

// Heard is the frame that the lead's audience hears now. ok is false where that is not
// known.
func (v *View) Heard() (f timebase.Frame, ok bool) {
	f = timebase.Frame(v.State.Heard)
	switch {
	case !v.Came:
		return 0, false
	case v.Lost:
		return v.LostAt, true
	case !v.Running():
		return f, true
	case !v.Clocked:
		return f, false
	}
	passed := v.Clock.Lead(v.Clock.At) - v.State.At
	f += timebase.FrameAt(time.Duration(float64(max(0, passed))*v.State.Speed), v.Welcome.Rate)
	return min(f, max(timebase.Frame(v.State.Heard), timebase.Frame(v.State.Ahead)+timebase.FrameAt(stateEvery*2, v.Welcome.Rate))), true
}

// SoundsAt is the place in the music, in frames, that sounds at the lead's at a moment
// by this machine, near that of the view. ok is false while nothing plays there, or at
// another pace than that of music, or where it is not known.
func (v *View) SoundsAt(at time.Time) (place float64, ok bool) {
	if !v.Running() || !v.Clocked || v.State.Speed != 1 {
		return 0, false
	}
	place = float64(v.State.Heard)
	if v.State.Sounds != nil {
		place = float64(*v.State.Sounds)
	}
	passed := v.Clock.Lead(v.Clock.At+at.Sub(v.Wall)) - v.State.At
	return place + passed.Seconds()*float64(v.Welcome.Rate), true
}

// Until is how long it is until the frame f is heard.
func (v *View) Until(f int64) time.Duration {
	heard, _ := v.Heard()
	return (timebase.Frame(f) - heard).At(v.Welcome.Rate)
}

// Lead is the lead's clock now; 0 where it is not known.
func (v *View) Lead() time.Duration {
	if !v.Clocked {
		return 0
	}
	return v.Clock.Lead(v.Clock.At)
}

// View returns what is known now.
func (m *Member) View() View {
	wall := time.Now()
	now := wall.Sub(m.began)
	m.mu.Lock()
	defer m.mu.Unlock()
	v := m.view
	v.Wall = wall
	v.Silent = now - v.came
	if v.watched > 0 {
		v.Age = now - v.watched
	}
	v.Clock, v.Clocked = m.clk.At(now)
	return v
}

// hear takes what comes from the lead.
func (m *Member) hear(msg *nats.Msg) {
	came := m.now()
	what := string(deedOf(msg))
	m.mu.Lock()
	held := m.view.State.Hold
	m.view.take(what, msg.Data, came, m.clk)
	w, back := m.view.Welcome, m.view.Lost
	held -= m.view.State.Hold
	m.mu.Unlock()
	if held != 0 {
		m.put(clock, nil) // the lead waits to hear that it is shown
	}
	switch what {
	case welcome:
		select {
		case m.got <- w:
		default:
		}
	case string(crew.SeesState):
		if back {
			m.found()
		}
	}
	select {
	case m.news <- struct{}{}:
	default:
	}
}

// take lets v know of a message. One that does not read changes nothing.
func (v *View) take(what string, data []byte, came time.Duration, c *crewclock.Clock) {
	switch what {
	case welcome:
		var w Welcome
		switch {
		case parse(data, &w) != nil || !w.whole():
		case w.Refused != "" && v.Welcome.Name != "": // was in
			v.Out = w.Refused
		default:
			v.Welcome, v.Out = w, ""
		}
	case string(crew.SeesState):
		var s State
		if parse(data, &s) == nil && s.N > v.State.N && s.whole() {
			v.State, v.Came, v.came, v.Over = s, true, came, s.Over
		}
	case clock:
		var t Tell
		if parse(data, &t) == nil && t.Sent <= came {
			c.Add(crewclock.Sample{Sent: t.Sent, Got: t.Got, Left: t.Left, Came: came})
		}
	case answer:
		var a Answer
		if parse(data, &a) == nil {
			if a.Deed == crew.Hold {
				if a.Call > 0 && a.Call <= v.call {
					return // told before
				}
				v.call = max(v.call, a.Call)
			}
			v.Answer, v.Answers = a, v.Answers+1
		}
	case string(crew.SeesCrew):
		var c Crew
		if parse(data, &c) == nil {
			v.Crew = c.Lines
		}
	case string(crew.SeesOwn), string(crew.SeesAll):
		var c Cues
		if parse(data, &c) == nil {
			v.Cues = c
		}
	case string(crew.SeesEvents):
		var e Event
		if parse(data, &e) == nil {
			v.event(e.Entry, false)
		}
	case string(crew.SeesDrill):
		var d Drill
		if parse(data, &d) == nil {
			v.drill(&d, came)
		}
	}
}

// drill takes what trainers are told.
func (v *View) drill(d *Drill, came time.Duration) {
	if d.Now != nil {
		v.Watched, v.watched = *d.Now, came
	}
	if d.Page != nil {
		v.Planned, v.pages = v.Planned.with(d.Page, v.pages)
	}
	if d.Event != nil {
		v.event(*d.Event, true)
	}
}

// event puts an entry of the log in its place: they come on several ways, and one may
// come twice. whole says that this is all of it, of which others are told less.
func (v *View) event(e session.Entry, whole bool) {
	v.News++
	i, there := slices.BinarySearchFunc(v.Events, e, func(a, b session.Entry) int { return cmp.Compare(a.N, b.N) })
	switch { // what a View that was returned can see is not written to
	case there && whole:
		v.Events = slices.Clone(v.Events)
		v.Events[i] = e
	case there:
	case i == len(v.Events):
		v.Events = append(v.Events, e)
	default:
		v.Events = slices.Insert(slices.Clip(v.Events), i, e)
	}
	v.Events = v.Events[max(0, len(v.Events)-keptEvents):]
}

// whole reports whether a welcome can be reckoned with.
func (w *Welcome) whole() bool {
	return w.Refused != "" || w.Version == Version && w.Rate > 0 && w.Rate <= 1<<20 && w.Length >= 0
}

// whole reports whether a state can be reckoned with.
func (s *State) whole() bool {
	const most = 1 << 48 // frames, or nanoseconds of three days
	if s.Sounds != nil && (*s.Sounds < -most || *s.Sounds > most) {
		return false
	}
	return s.At >= 0 && s.Heard >= 0 && s.Heard < most && s.Ahead >= 0 && s.Ahead < most && s.Speed >= 0 && s.Speed <= 1000
}

// refused notes a deed that was not even sent.
func (m *Member) refused(d crew.Deed, why string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if d == hello || d == clock {
		return
	}
	m.view.Answer, m.view.Answers = Answer{Deed: d, Refused: why}, m.view.Answers+1
}

// look holds this machine when nothing is heard of the lead, and reports what is new
// to whoever watches.
func (m *Member) look() {
	defer m.wg.Done()
	s := seen{m: m, report: m.tell}
	t := time.NewTicker(tick)
	defer t.Stop()
	for {
		select {
		case <-m.closing:
			return
		case <-t.C:
		}
		if m.silent(m.now()) && m.join.Silent != nil {
			m.join.Silent()
		}
		s.look()
	}
}

// silent notes that the lead is lost, and reports whether that is news.
func (m *Member) silent(now time.Duration) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	v := &m.view
	if !v.Came || v.Lost || now-v.came <= crew.LostAfter {
		return false
	}
	v.Clock, v.Clocked = m.clk.At(v.came)
	v.LostAt, _ = v.Heard() // the last that is known to have been heard
	v.Lost = true
	return true
}

// found notes that the lead is heard again.
func (m *Member) found() {
	m.mu.Lock()
	m.view.Lost = false
	m.mu.Unlock()
	if m.join.Back != nil {
		m.join.Back()
	}
}
