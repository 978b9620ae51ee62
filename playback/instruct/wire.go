package instruct

import (
	"bytes"
	"encoding/json"
	"time"

	"drylane/show"
	"drylane/show/session"
)

// A Message is a line from the server. One of its fields is set.
type Message struct {
	Hello   *Hello         `json:"hello,omitempty"`
	State   *State         `json:"state,omitempty"`
	Event   *session.Entry `json:"event,omitempty"`
	Taken   string         `json:"taken,omitempty"`   // what was asked for has been handed over, in words
	Refused string         `json:"refused,omitempty"` // why it was not, or why there is no talking at all
	Bye     string         `json:"bye,omitempty"`     // nothing more comes, and why
}

// A Hello is what is told once.
type Hello struct {
	Version   int           `json:"drylane_instruct"`
	Program   string        `json:"program"` // name and version of the server
	PID       int           `json:"pid"`
	Show      string        `json:"show"`            // its title
	Drill     string        `json:"drill,omitempty"` // its title
	Rate      int           `json:"rate"`            // frames a second, in events
	Length    time.Duration `json:"length_ns"`       // of the soundtrack
	Cues      int           `json:"cues"`
	Positions []string      `json:"positions"`
	Steps     []PlannedStep `json:"steps,omitempty"`   // of the drill, as it was drawn
	Planted   []string      `json:"planted,omitempty"` // errors in the cue list, in words
}

// A State is how the run stands. Times are from the moment it was made.
type State struct {
	State   string        `json:"state"`  // a show.State
	For     time.Duration `json:"for_ns"` // how long it has lasted
	Heard   time.Duration `json:"heard_ns"`
	InForce time.Duration `json:"nudge_ns"` // of the next cue; positive = cues earlier
	Asked   time.Duration `json:"asked_ns"`
	After   string        `json:"after,omitempty"` // the last cue that keeps InForce, while Asked differs
	Gone    int           `json:"gone"`            // cues that have fired or been skipped
	Next    []NextCue     `json:"next"`            // the first of those to come
	Up      []UpCue       `json:"up"`              // still up, the last to clear first
	UpAll   int           `json:"up_all"`          // how many are, listed or not
	Unknown int           `json:"unknown"`         // lit, and the list has no burn time
	Taps    int           `json:"taps"`
	Drift   string        `json:"drift,omitempty"` // what the taps say, in words
	Score   string        `json:"score,omitempty"` // so far, in words
	Field   string        `json:"field,omitempty"` // what answers, who is go, who is in, in words; while safe
	Output  string        `json:"output,omitempty"`
	Level   [2]float64    `json:"level"` // peak of what is heard, 0 to 1
	Mute    bool          `json:"mute"`  // nothing sounds: the wall clock drives the run
	Lost    bool          `json:"lost"`  // the sound device went away
}

// A NextCue is a cue to come.
type NextCue struct {
	Cue       string        `json:"cue"`
	Position  string        `json:"position"`
	Effect    string        `json:"effect,omitempty"`
	In        time.Duration `json:"in_ns"`   // until it is lit
	Seen      time.Duration `json:"seen_ns"` // until its effect is seen
	Down      bool          `json:"down,omitempty"`
	Committed bool          `json:"committed,omitempty"`
}

// An UpCue is an effect still up.
type UpCue struct {
	Cue      string        `json:"cue"`
	Position string        `json:"position"`
	Breaks   time.Duration `json:"breaks_ns"` // until it does; 0: it burns
	Clear    time.Duration `json:"clear_ns"`  // until it is out by the list
}

// A greeting is the instructor's first line.
type greeting struct {
	Version int `json:"drylane_instructor"`
}

// clean makes the texts of a message fit for a terminal, and bounds them so
// that it fits into MaxLine.
func (m *Message) clean() {
	shorten(MaxText, &m.Taken, &m.Refused, &m.Bye)
	if h := m.Hello; h != nil {
		shorten(MaxText, &h.Program, &h.Show, &h.Drill)
		h.Positions = h.Positions[:min(len(h.Positions), maxPositions)]
		for i := range h.Positions {
			shorten(maxName, &h.Positions[i])
		}
		h.Steps, h.Planted = h.Steps[:min(len(h.Steps), maxPlanned)], h.Planted[:min(len(h.Planted), maxPlanned)]
		for i := range h.Steps {
			s := &h.Steps[i]
			shorten(maxName, &s.Step, &s.After, (*string)(&s.Do), (*string)(&s.Wants))
			shorten(maxWhat, &s.What)
		}
		for i := range h.Planted {
			shorten(maxWhat, &h.Planted[i])
		}
	}
	if s := m.State; s != nil {
		shorten(MaxText, &s.State, &s.After, &s.Drift, &s.Score, &s.Field, &s.Output)
		s.Next, s.Up = s.Next[:min(len(s.Next), maxListed)], s.Up[:min(len(s.Up), maxListed)]
		for i := range s.Next {
			shorten(maxName, &s.Next[i].Cue, &s.Next[i].Position, &s.Next[i].Effect)
		}
		for i := range s.Up {
			shorten(maxName, &s.Up[i].Cue, &s.Up[i].Position)
		}
	}
	if m.Event != nil {
		cleanEvent(m.Event)
	}
}

// cleanEvent makes the texts of an event fit for a terminal, and bounds them.
func cleanEvent(e *session.Entry) {
	d := &e.Data
	shorten(MaxText, &e.State, &e.Kind, &d.Cue, &d.GroupBy, &d.Name, &d.Reason, &d.Call, &d.Output, &d.Text, &d.Asked,
		&d.Track, &d.Error, &d.Step, &d.Do, &d.From, &d.Who, &d.Turn, &d.LastUp, &d.Device, &d.Wants, (*string)(&e.By), (*string)(&d.Cause), (*string)(&d.Did))
	d.Without = d.Without[:min(len(d.Without), maxListed)]
	for i := range d.Without {
		shorten(MaxText, &d.Without[i])
	}
}

// shorten makes texts fit for a terminal and no longer than limit characters.
func shorten(limit int, texts ...*string) {
	for _, t := range texts {
		*t = show.Shorten(*t, limit)
	}
}

// line writes a message as what goes over the wire.
func line(m Message) []byte {
	m.clean()
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(m); err != nil { // a level that is no number, say
		return line(Message{Refused: "something could not be told: " + err.Error()})
	}
	return b.Bytes()
}
