// Package closeout is what comes after the last effect: the waiting time, the search,
// and the record. It tells from a session's log what was commanded and what was not,
// and from a search file what people saw and found. What was commanded may not have gone
// off, and what was not commanded is still loaded: only a search tells.
package closeout

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/report"
	"drylane/show/session"
	"drylane/show/words"
)

// A State is what became of a pin, by all that is known of it.
type State string

// The states, the gravest first.
const (
	Dud       State = State(show.DidNotGo)    // commanded, and somebody says that it did not go
	Loaded    State = "still loaded"          // never commanded: treat it as live
	Commanded State = "commanded"             // and nobody says what it did
	Seen      State = State(show.SeenOrHeard) // commanded, and somebody saw or heard it
	Dealt     State = "dealt with"            // found in the search, and dealt with
)

// states are in the order in which they are told.
var states = []State{Dud, Loaded, Commanded, Seen, Dealt}

// A Reason is why a cue was not commanded.
type Reason string

// The reasons.
const (
	StoodDown  Reason = "stood down"  // its time came while it was
	NotReached Reason = "not reached" // its time did not come
	LeftOut    Reason = "left out"    // a re-entry began behind it
)

// A Pin is a line of the cue list as it stands after the show.
type Pin struct {
	session.CueLine
	State  State
	Reason Reason // of a Loaded one
	By     string // who saw it, or dealt with it; may be empty
	Remark string
}

// Live reports whether the pin has to be treated as live: it was never commanded, or is
// said not to have gone.
func (p Pin) Live() bool { return p.State == Dud || p.State == Loaded }

// A Record is a session closed out.
type Record struct {
	Session string
	Title   string
	Began   time.Time
	Person  string
	// Ended is when the show last ended or was cut, or when the last entry of the log was
	// written where it did neither. Torn says that the log's end is missing, so that more
	// may have been commanded than it knows of.
	Ended time.Time
	Torn  bool
	Wait  time.Duration // before anybody goes in
	Pins  []Pin         // in the order of the list
	// Searched are the positions with who searched them; nobody for those that were not.
	Searched []Searched
	Finds    []Find // things found that are no pin of the list
}

// New closes out a session: every run of it counts, and a cue that was fired in one of
// them was commanded. search may be nil.
func New(name string, log *session.Log, search *Search) (*Record, error) {
	runs, err := report.All(log)
	if err != nil {
		return nil, err
	}
	h := &log.Header
	r := &Record{Session: show.Clean(name), Title: show.Clean(h.Title), Began: h.Began, Person: show.Clean(h.Person), Torn: log.Torn, Wait: DefaultWait}
	if h.Safe != nil {
		r.Wait = time.Duration(h.Safe.WaitNS)
	}
	r.Ended = lastStop(log.Entries)
	said, err := log.Said()
	if err != nil {
		return nil, err
	}
	for i, c := range runs[0].Cues {
		r.Pins = append(r.Pins, pinOf(c.CueLine, i, runs, said))
	}
	r.positions()
	if search != nil {
		if err := r.take(search); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// lastStop is when the show last ended or was cut; where it was armed again since, or
// neither was logged, the time of the last entry.
func lastStop(entries []session.Entry) (at time.Time) {
	for i := range entries {
		switch entries[i].Kind {
		case show.EventEnded.String(), show.EventCut.String():
			at = entries[i].Wall
		case show.EventArmed.String(), show.EventReentered.String():
			at = time.Time{}
		}
	}
	if n := len(entries); n > 0 && at.IsZero() {
		at = entries[n-1].Wall
	}
	return at
}

// atConsole is who said what nobody of the crew did.
const atConsole = "at the console"

// hear enters what was said of the cue, which was commanded, and by whom. Who says
// otherwise is told, too.
func (p *Pin) hear(said show.Sayings, i int) {
	saw := said.Of(i)
	if saw == show.NobodySaid {
		return
	}
	p.State, p.By = State(saw), speakers(said.Who(i, saw))
	if others := said.Who(i, show.SeenOrHeard); saw != show.SeenOrHeard && len(others) > 0 {
		p.Remark = string(show.SeenOrHeard) + ", " + speakers(others)
	}
}

// speakers are those who said something of a cue while the show was run.
func speakers(by []string) string {
	var list []string
	for _, who := range by {
		if who == "" {
			list = append(list, atConsole)
		} else {
			list = append(list, "by "+show.Clean(who))
		}
	}
	return words.List(list)
}

// pinOf is what the runs did with a line of the list, and what was said of it while the
// show was run.
func pinOf(line session.CueLine, i int, runs []*report.Run, said show.Sayings) Pin {
	p := Pin{CueLine: line, State: Loaded, Reason: NotReached}
	for _, run := range runs {
		switch c := &run.Cues[i]; {
		case c.Ending == report.Fired:
			p.State, p.Reason = Commanded, ""
			p.hear(said, i)
			return p
		case c.Ending == report.Skipped:
			p.Reason = StoodDown
		case c.LeftOut && p.Reason != StoodDown:
			p.Reason = LeftOut
		}
	}
	return p
}

// positions lists the positions that have a cue, in the order of the list.
func (r *Record) positions() {
	for _, p := range r.Pins {
		if !slices.ContainsFunc(r.Searched, func(s Searched) bool { return s.Position == p.Position }) {
			r.Searched = append(r.Searched, Searched{Position: p.Position})
		}
	}
}

// Count is how many pins are in a state.
func (r *Record) Count(s State) int {
	n := 0
	for _, p := range r.Pins {
		if p.State == s {
			n++
		}
	}
	return n
}

// Live are the pins to treat as live, by position, module and pin.
func (r *Record) Live() []Pin {
	var list []Pin
	for _, p := range r.Pins {
		if p.Live() {
			list = append(list, p)
		}
	}
	slices.SortStableFunc(list, byPlace)
	return list
}

func byPlace(a, b Pin) int {
	return cmp.Or(cmp.Compare(a.Position, b.Position), cmp.Compare(a.Module, b.Module), cmp.Compare(a.Pin, b.Pin))
}

// Closed reports that nothing is left to do: every position was searched, and no pin is
// live.
func (r *Record) Closed() bool {
	return !r.Torn && len(r.Live()) == 0 && !slices.ContainsFunc(r.Searched, func(s Searched) bool { return s.By == "" })
}

// A Tally counts the states of the pins that have one thing in common.
type Tally struct {
	Name   string
	Counts [5]int // in the order of states
	All    int
}

// Tally counts by what of names each pin, in the order in which the names come.
func (r *Record) Tally(of func(Pin) string) []Tally {
	var list []Tally
	for _, p := range r.Pins {
		name := of(p)
		i := slices.IndexFunc(list, func(t Tally) bool { return t.Name == name })
		if i < 0 {
			i = len(list)
			list = append(list, Tally{Name: name})
		}
		list[i].Counts[slices.Index(states, p.State)]++
		list[i].All++
	}
	return list
}

// What a tally can count by.
var tallies = []struct {
	Name string
	Of   func(Pin) string
}{
	{"position", func(p Pin) string { return p.Position }},
	{"module", func(p Pin) string { return or(p.Module, "by hand") }},
	{"effect", func(p Pin) string { return or(p.Effect, "no name") }},
}

func or(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return s
}
