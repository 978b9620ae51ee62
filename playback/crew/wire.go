package crew

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/session"
)

// A Hello is how a member's machine says who is at it.
type Hello struct {
	Version int    `json:"drylane_crew"`
	Name    string `json:"name"`
	Role    string `json:"role"`
	// Place is where a listener stands, and Habit how they tap; empty and nil: not known.
	Place string         `json:"place,omitempty"`
	Habit *session.Habit `json:"habit,omitempty"`
}

// A Welcome is the lead's answer. With Refused set nothing else counts.
type Welcome struct {
	Version int           `json:"drylane_crew"`
	Refused string        `json:"refused,omitempty"`
	Program string        `json:"program"`
	Title   string        `json:"title"` // of the show
	Drill   string        `json:"drill,omitempty"`
	Name    string        `json:"name"` // as it was taken
	Role    string        `json:"role"`
	Rate    int           `json:"rate"` // frames a second
	Length  time.Duration `json:"length_ns"`
	Cues    int           `json:"cues"` // those that this member is told of
	Copy    Copy          `json:"copy"`
	Place   string        `json:"place,omitempty"` // where a listener stands, as it was taken
}

// A Copy is what a copy of the show has to be for a member to play it beside the lead:
// SHA-256 sums in hex, each of which may be missing.
type Copy struct {
	Music string `json:"music,omitempty"` // of the soundtrack's file
	Audio string `json:"audio,omitempty"` // ... of the sound in it, whatever its tags
	Calls string `json:"calls,omitempty"` // of all that the calls are made from
}

// An Ask is a request of a member's clock.
type Ask struct {
	Sent  time.Duration `json:"sent"`            // by the member's clock
	Hold  int           `json:"hold,omitempty"`  // the latest hold that it shows
	Bound time.Duration `json:"bound,omitempty"` // how well it knows the lead's clock
}

// A Tell is the reply.
type Tell struct {
	Sent time.Duration `json:"sent"` // as it was asked
	Got  time.Duration `json:"got"`  // by the lead's clock
	Left time.Duration `json:"left"`
}

// A Deed is something that a member does; which is in the subject.
type Deed struct {
	At    time.Duration `json:"at,omitempty"`    // when, by the lead's clock as the member knows it; 0: it does not
	Bound time.Duration `json:"bound,omitempty"` // ... within
	Text  string        `json:"text,omitempty"`  // a reason, a remark, a new name
	Cue   string        `json:"cue,omitempty"`   // seen, missing: which
	Hold  int           `json:"hold,omitempty"`  // acknowledge: which
	Call  int           `json:"call,omitempty"`  // hold: which of this machine's, 1, 2, 3, ...: it is sent until it is answered
	From  string        `json:"from,omitempty"`  // radio: who speaks
	Do    string        `json:"do,omitempty"`    // fault: a drill.Deed; radio: one, or nothing for a message
	Wants string        `json:"wants,omitempty"` // ... a drill.Want
	By    string        `json:"group,omitempty"` // ... whom it is about
	Of    string        `json:"of,omitempty"`
}

// An Answer says what came of a deed.
type Answer struct {
	Deed    crew.Deed `json:"deed"`
	Call    int       `json:"call,omitempty"`    // hold: which of this machine's was handed on to the run
	Refused string    `json:"refused,omitempty"` // why; empty: it was taken
	Done    string    `json:"done,omitempty"`    // radio, fault: what was taken, in words
}

// A State is how the run stands at a moment.
type State struct {
	N       int64         `json:"n"`     // 1, 2, 3, ...
	At      time.Duration `json:"at"`    // the moment
	State   string        `json:"state"` // a show.State
	For     time.Duration `json:"for_ns"`
	Hold    int           `json:"hold,omitempty"`   // the number of the hold that is on
	Why     string        `json:"why,omitempty"`    // ... who called for it, and why
	Heard   int64         `json:"heard"`            // frame heard at that moment
	Ahead   int64         `json:"ahead"`            // no frame past this is heard before the next state
	Sounds  *int64        `json:"sounds,omitempty"` // frame that sounds at that moment, closer than heard, for those who play along
	Calls   int           `json:"calls,omitempty"`  // HOLDs of the crew so far: who plays falls silent at a new one, before the run can have told of it
	Mute    []string      `json:"mute,omitempty"`   // what those who play along let nobody hear, as a drill has it: positions' calls, and MuteMusic
	Speed   float64       `json:"speed"`
	Nudge   time.Duration `json:"nudge_ns"`             // asked for; positive = cues earlier
	Resumes time.Duration `json:"resumes_ns,omitempty"` // a count-in ends then
	Gone    int           `json:"gone"`                 // cues that have fired or been skipped
	Up      int           `json:"up,omitempty"`         // effects still up by the list, or unknown
	Clear   time.Duration `json:"clear_ns,omitempty"`   // ... until the last is out by the list
	Unknown int           `json:"unknown,omitempty"`    // ... of them: nobody knows for how long
	Forbids string        `json:"forbids,omitempty"`    // who refuses a resume
	Waits   []string      `json:"waits,omitempty"`      // who has not acknowledged the hold
	Struck  []string      `json:"struck,omitempty"`     // whom the shooter does not wait for any more
	Asks    []string      `json:"asks_down,omitempty"`  // who asks to have their position stood down
	Made    bool          `json:"made_safe,omitempty"`  // the show is safe after it had been armed
	Wait    time.Duration `json:"wait_ns,omitempty"`    // ... and nobody goes in for so long
	Over    bool          `json:"over,omitempty"`       // the run has ended: the lead leaves
}

// MuteMusic stands for the music where State.Mute names what is not heard. No position
// has it for a name.
const MuteMusic = ""

// A Line is a member as others see it.
type Line struct {
	Name    string        `json:"name"`
	Role    string        `json:"role"`
	Lost    time.Duration `json:"lost_ns,omitempty"` // for how long
	Ready   bool          `json:"ready,omitempty"`
	Answer  crew.Answer   `json:"answer,omitempty"`
	After   time.Duration `json:"after_ns,omitempty"` // answered: how long after the hold was called
	Objects string        `json:"objects,omitempty"`
	Bound   time.Duration `json:"bound_ns,omitempty"`
	Struck  bool          `json:"struck,omitempty"`
	Asks    bool          `json:"asks_down,omitempty"` // to have their position stood down
}

// A Crew is who is there.
type Crew struct {
	Lines []Line `json:"crew"`
}

// A Cue is one of those to come.
type Cue struct {
	ID        string `json:"cue"`
	Position  string `json:"position"`
	Effect    string `json:"effect,omitempty"`
	Lit       int64  `json:"lit"`  // frame of ignition
	Seen      int64  `json:"seen"` // frame of its effect
	Down      bool   `json:"down,omitempty"`
	Committed bool   `json:"committed,omitempty"`
	Fired     bool   `json:"fired,omitempty"` // it has been lit; of the few before now that are told
}

// Cues are the few before now and those to come.
type Cues struct {
	Left  int   `json:"left"` // to come, listed or not
	List  []Cue `json:"list"`
	Ready bool  `json:"ready,omitempty"` // of a position's own: its crew has said so
}

// An Event is an entry of the log.
type Event struct {
	Entry session.Entry `json:"entry"`
}

// parse reads a message into v, all of it. The error is short and clean.
func parse(data []byte, v any) error {
	if len(data) > MaxMessage {
		return fmt.Errorf("found a message of %d bytes; wanted %d at most", len(data), MaxMessage)
	}
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(v); err != nil {
		return errors.New("found a message that does not read: " + show.Shorten(err.Error(), 80))
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("found something behind a message")
	}
	if c, ok := v.(interface{ clean() }); ok {
		c.clean()
	}
	return nil
}

// pack writes a message.
func pack(v any) []byte {
	if c, ok := v.(interface{ clean() }); ok {
		c.clean()
	}
	b, err := json.Marshal(v)
	if err != nil { // a speed that is no number, say
		return []byte("{}")
	}
	return b
}

// short makes texts fit for a terminal and no longer than limit characters.
func short(limit int, texts ...*string) {
	for _, t := range texts {
		*t = show.Shorten(*t, limit)
	}
}

func (h *Hello) clean() {
	short(maxName, &h.Name, &h.Place)
	h.Role = show.Shorten(h.Role, maxText)
}

func (w *Welcome) clean() {
	short(maxText, &w.Refused, &w.Program, &w.Title, &w.Drill, &w.Name, &w.Role, &w.Place, &w.Copy.Music, &w.Copy.Audio, &w.Copy.Calls)
}
func (d *Deed) clean() {
	short(maxText, &d.Text)
	short(maxName, &d.Cue, &d.From, &d.Do, &d.Wants, &d.By, &d.Of)
}
func (a *Answer) clean() { short(maxText, (*string)(&a.Deed), &a.Refused, &a.Done) }
func (c *Cue) clean()    { short(maxName, &c.ID, &c.Position, &c.Effect) }

func (s *State) clean() {
	short(maxText, &s.State, &s.Why, &s.Forbids)
	for _, list := range []*[]string{&s.Waits, &s.Struck, &s.Asks, &s.Mute} {
		*list = (*list)[:min(len(*list), crew.MaxMembers)]
		for i := range *list {
			short(maxName, &(*list)[i])
		}
	}
}

func (c *Crew) clean() {
	c.Lines = c.Lines[:min(len(c.Lines), crew.MaxMembers)]
	for i := range c.Lines {
		l := &c.Lines[i]
		short(maxName, &l.Name)
		short(maxText, &l.Role, &l.Objects)
	}
}

func (c *Cues) clean() {
	c.List = c.List[:min(len(c.List), MaxCues)]
	for i := range c.List {
		c.List[i].clean()
	}
}

func (e *Event) clean() { cleanEntry(&e.Entry) }

// cleanEntry makes the texts of an entry fit for a terminal, and bounds them. Its lists
// are the log's: they are copied.
func cleanEntry(e *session.Entry) {
	d := &e.Data
	short(maxText, &d.Text, &d.Reason, &d.Error)
	short(maxWord, &e.State, &e.Kind, (*string)(&e.By), &d.Cue, &d.GroupBy, &d.Name, (*string)(&d.Cause), &d.Call, &d.Output,
		&d.Asked, &d.Asks, &d.InCount, &d.Track, (*string)(&d.Did), &d.Step, &d.Do, &d.From, &d.Wants, &d.Device,
		(*string)(&d.Fault), (*string)(&d.Saw), (*string)(&d.Answer), &d.State, &d.Code, &d.CodeTo, &d.Rate, &d.Who, &d.Turn, &d.LastUp, &d.Member, &d.Place, &d.Role, (*string)(&d.Crew), &d.Was)
	for _, list := range []*[]string{&d.Late, &d.Due, &d.Without} {
		*list = ends(*list)
		for i := range *list {
			short(maxName, &(*list)[i])
		}
	}
	d.Salvo = nil // its cues are told by the firings
}

// ends is a copy of a list with MaxCues names at most: of a longer one the first and the
// last, between which the others lie.
func ends(list []string) []string {
	if more := len(list) - MaxCues; more > 0 {
		return slices.Concat(list[:MaxCues-1], list[len(list)-1:])
	}
	return slices.Clone(list)
}
