package season

import (
	"slices"
	"strings"
	"time"

	"drylane/show/drill"
)

// A Book is how a crew stands against its curriculum.
type Book struct {
	Curriculum *Curriculum
	On         time.Time // the day that it is of
	Members    []Standing
}

// A Standing is how one of the crew stands.
type Standing struct {
	Member
	Needs []Held
	// Current says that every need is met.
	Current bool
	// Holds is how fast calls to hold were answered, over all drills of the season;
	// Needless counts the holds that no call asked for, which are a cost to the show
	// and no slow reaction.
	Holds    []Step
	Calls    int
	Missed   int
	Needless int
}

// A Held is how a need stands for somebody.
type Held struct {
	Need
	Runs  int       // finished, scored, ever
	Best  int       // score; with Runs
	Last  time.Time // the latest run that counts; zero for none
	Count int       // runs that count and are recent
	Met   bool
	Until time.Time // the day until which it is met; with Met
}

// Open opens the book of a crew on a day. signed reports whether an assessor signed a
// session.
func Open(c *Curriculum, results []*drill.Result, signed func(session string) bool, on time.Time) *Book {
	b := &Book{Curriculum: c, On: on}
	for _, m := range c.Crew {
		b.Members = append(b.Members, standing(m, c, results, signed, on))
	}
	return b
}

func standing(m Member, c *Curriculum, results []*drill.Result, signed func(string) bool, on time.Time) Standing {
	st := Standing{Member: m, Current: true}
	var own []*drill.Result
	for _, r := range results {
		if strings.EqualFold(r.Person, m.Name) && !r.Began.After(on) {
			own = append(own, r)
		}
	}
	for _, n := range c.Needs {
		if !m.has(n) {
			continue
		}
		h := held(n, own, signed, on)
		st.Needs = append(st.Needs, h)
		st.Current = st.Current && h.Met
	}
	st.react(own)
	return st
}

// held is how a need stands by somebody's own runs. It is met until the oldest of the
// runs that it asks for grows too old.
func held(n Need, own []*drill.Result, signed func(string) bool, on time.Time) Held {
	h := Held{Need: n}
	var counting []time.Time
	for _, r := range own {
		if r.Drill != n.Drill || !r.Finished || !r.Scored {
			continue
		}
		h.Runs++
		h.Best = max(h.Best, r.Score)
		if r.Score < n.Score || n.Signed && !signed(r.Session) {
			continue
		}
		if r.Began.After(h.Last) {
			h.Last = r.Began
		}
		if on.Sub(r.Began) <= n.Within {
			counting = append(counting, r.Began)
		}
	}
	h.Count = len(counting)
	if h.Met = h.Count >= n.Times; h.Met {
		slices.SortFunc(counting, time.Time.Compare)
		h.Until = counting[h.Count-n.Times].Add(n.Within)
	}
	return h
}

// never is the time in seconds up to which a call that was never answered counts as
// waiting: later than any answer.
const never = 1e9

// react gathers the reactions to calls to hold.
func (st *Standing) react(own []*drill.Result) {
	var list []Reaction
	for _, r := range own {
		if !r.Finished {
			continue
		}
		for _, l := range r.Lines {
			switch {
			case l.Grade == drill.LeftOut:
			case l.Kind == drill.NeedlessHolds && !l.Value.Endless():
				st.Needless += int(l.Value)
			case l.Kind == drill.TimeToHold && l.Value.Endless():
				list = append(list, Reaction{Seconds: never, Missed: true})
				st.Missed++
			case l.Kind == drill.TimeToHold:
				list = append(list, Reaction{Seconds: float64(l.Value)})
			}
		}
	}
	st.Calls = len(list)
	st.Holds = ProductLimit(list)
}
