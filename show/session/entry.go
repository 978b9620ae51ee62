// Package session is the record of one rehearsal: an append-only file of JSON
// lines, a header and then one event a line, that can be read back whole or
// in any prefix, and replayed.
//
// A log holds facts: who asked for something and why, in words from closed lists
// and in figures. Words makes the sentences for people, and Walk runs the commands
// of a log again.
//
// Writing: an event counts as logged when its line has been written, which outlives
// the program; a sync, which outlives a power cut, follows as soon as the disk can.
// Reading: a last line that was torn off is reported and
// left out; anything else that does not read is an error.
package session

import (
	"time"

	"drylane/show"
	"drylane/show/board"
	"drylane/show/crew"
	"drylane/show/timebase"
)

// Schema is the version of the file format that this package writes. It reads
// the others, too: format 1 told much of this in sentences, and format 2 had another
// word for skipped.
const Schema = 3

// A Header is the first line of a session: what was rehearsed, on what. It
// holds the cue list, so that a session can be understood and replayed without
// the show folder.
type Header struct {
	Schema     int        `json:"drylane_session"`
	Program    string     `json:"program"` // name and version of what wrote it
	Began      time.Time  `json:"began"`
	Title      string     `json:"title"`
	Folder     string     `json:"folder"`
	Person     string     `json:"person,omitempty"`
	CuesSHA256 string     `json:"cues_sha256"`
	Soundtrack Soundtrack `json:"soundtrack"`
	Output     string     `json:"output"`
	Silent     bool       `json:"silent,omitempty"` // the output is a clock that plays nothing
	LatencyMS  float64    `json:"latency_ms"`
	GuardMS    int64      `json:"guard_ms"`
	LimitMS    int64      `json:"nudge_limit_ms"`
	Lanes      string     `json:"lanes"`
	ByHand     []string   `json:"by_hand,omitempty"`  // positions that are fired by hand, to a spoken count
	Called     []string   `json:"called,omitempty"`   // positions that a companion track calls: it follows no nudge
	Together   *int       `json:"together,omitempty"` // how many cues may come due at once, as show.Plan has it; absent: what came due at once fired on one frame
	Drill      *Drill     `json:"drill,omitempty"`
	// Follow says what the run followed, in place of music of its own; nil for none.
	Follow *Follow `json:"follow,omitempty"`
	// Field is what the field board is made from, with what is wrong in it; nil for a
	// run without one.
	Field *board.Field `json:"field,omitempty"`
	// Ready is who had to answer before the arming: nil where nobody was asked, as in
	// sessions of before there was such a list. Safe is the rule of going into the field;
	// nil for sessions without.
	Ready []show.Ask `json:"ready,omitempty"`
	Safe  *Safe      `json:"safe,omitempty"`
	// Places are where a listener of the crew may stand, the main audience first; none in
	// runs that nobody may join, or whose show lists no speaker.
	Places []Place   `json:"places,omitempty"`
	Cues   []CueLine `json:"cues"`
}

// A Soundtrack identifies the music. Frames are at Rate a second, and so are
// all frames in the session.
type Soundtrack struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256,omitempty"`
	Rate   int    `json:"rate"`
	Frames int64  `json:"frames"`
}

// A Follow says what a run followed of a player that somebody else ran: its timecode, or
// its music by ear.
type Follow struct {
	What    string `json:"what"`               // timecode or music
	Source  string `json:"source"`             // what it came in on
	From    string `json:"from,omitempty"`     // the label at the first frame of the soundtrack; absent of music
	Rate    string `json:"rate,omitempty"`     // absent: found from the code
	CarryMS int64  `json:"carry_ms,omitempty"` // absent of music
}

// A Place is where somebody may stand, and when the music is heard there after it left
// the speakers.
type Place struct {
	Name    string `json:"name"`
	MusicNS int64  `json:"music_ns"`
}

// A Habit is how somebody taps, as calibrated: Bias is negative for early.
type Habit struct {
	BiasNS    int64 `json:"bias_ns"`
	ScatterNS int64 `json:"scatter_ns"`
	Taps      int   `json:"taps"` // counted
}

// A Drill says that the session was an exercise, and which: with the file's
// text and the seed all that went wrong in it can be told again.
type Drill struct {
	Name string `json:"name"`
	Seed uint64 `json:"seed"`
	File string `json:"file"` // the text of it
}

// A CueLine is one line of the cue list, in firing order.
type CueLine struct {
	ID       string  `json:"cue"`
	EffectMS int64   `json:"effect_ms"`
	PreMS    int64   `json:"prefire_ms,omitempty"`
	BurnMS   int64   `json:"burn_ms,omitempty"`
	Position string  `json:"position"`
	Module   string  `json:"module,omitempty"`
	Pin      int     `json:"pin,omitempty"`
	Effect   string  `json:"effect,omitempty"`
	Caliber  float64 `json:"caliber_mm,omitempty"`
}

// An Entry is one event.
type Entry struct {
	N     int64     `json:"n"` // 1, 2, 3, ... without gaps
	Wall  time.Time `json:"wall"`
	Heard int64     `json:"heard"`        // frames of music heard
	Show  int64     `json:"show"`         // heard + nudge asked for: where the cue list stands
	State string    `json:"state"`        // after the event
	By    show.By   `json:"by,omitempty"` // who asked for it; absent for what comes of the run itself
	Kind  string    `json:"kind"`
	Data  Data      `json:"data,omitzero"`
}

// Data is what an event has to say beyond its kind: facts, of which Words makes
// sentences. Fields that do not belong to the kind are absent.
type Data struct {
	Cue     string     `json:"cue,omitempty"`
	Index   *int       `json:"index,omitempty"`       // of the cue, in the header's list
	Effect  *int64     `json:"effect,omitempty"`      // frame at which its effect is due
	NudgeMS *int64     `json:"nudge_ms,omitempty"`    // positive = cues earlier
	GroupBy string     `json:"group_by,omitempty"`    // stood down, brought back, drill: what kind of group
	Name    string     `json:"name,omitempty"`        // ... and which
	HeldNS  int64      `json:"held_ns,omitempty"`     // resumed: length of the hold by the wall clock
	Reason  string     `json:"reason,omitempty"`      // held, cut: in the words of who asked
	Cause   show.Cause `json:"cause,omitempty"`       // ... or why the engine did it; refused: why, where a rule of the run's says so
	LateMS  *int64     `json:"late_ms,omitempty"`     // tap: effect less tap; positive = the cue came late
	LateFr  *int64     `json:"late_frames,omitempty"` // the same, exactly
	Call    string     `json:"call,omitempty"`        // early or late
	Count   int        `json:"count,omitempty"`       // underruns so far; ticked: how many lines are, of the checklist; board: devices that should answer
	Output  string     `json:"output,omitempty"`      // output, second output: what plays now
	Silent  bool       `json:"silent,omitempty"`      // ... which is a clock that plays nothing
	Text    string     `json:"text,omitempty"`        // note; refused: why; drill: what is said; ticked: the line
	Asked   string     `json:"asked,omitempty"`       // refused: the command

	Unticked int `json:"unticked,omitempty"` // resumed: how many lines of the checklist were not ticked
	Up       int `json:"up,omitempty"`       // ... and how many effects were still up by the list, or unknown; cut, ended: how many were, without those
	Unknown  int `json:"unknown,omitempty"`  // ... of them: burning on for nobody knows how long

	Unheard int `json:"silent_crew,omitempty"` // ... members of the crew who had not acknowledged the hold

	Asks string `json:"asks_down,omitempty"` // ... who asked to have their position stood down, in words

	InCount string `json:"in_count,omitempty"` // ... the cue whose count on a companion track it landed in

	Track   string `json:"track,omitempty"`    // listening, silent track, second output: the companion; absent: the music
	At      *int64 `json:"at,omitempty"`       // listening, re-entered: the frame from which; followed music: its place
	Did     Second `json:"did,omitempty"`      // second output: what happened
	Frames  int64  `json:"frames,omitempty"`   // ... overran, stopped short: by how many
	EarlyNS int64  `json:"early_ns,omitempty"` // ... put right, still apart: how early it was; negative = late
	WaitNS  int64  `json:"wait_ns,omitempty"`  // ... slow to begin: how much longer it needs than the music
	Error   string `json:"error,omitempty"`    // device, silent track, second output: what it said

	Step  string `json:"step,omitempty"`  // drill: its name
	Do    string `json:"do,omitempty"`    // ... what it does: a drill.Deed
	From  string `json:"from,omitempty"`  // ... who speaks on the radio
	Wants string `json:"wants,omitempty"` // ... what it asks for: a drill.Want; of GroupBy and Name

	Late []string `json:"late,omitempty"` // ... the cues that went off while the music stood still

	Device  string      `json:"device,omitempty"`   // marked, sent out, back: of the field board
	Fault   board.Fault `json:"fault,omitempty"`    // ... marked: what with; absent: the mark was taken back
	SinceNS int64       `json:"since_ns,omitempty"` // ... when, since the board was opened
	BackNS  int64       `json:"back_ns,omitempty"`  // ... sent out: when they will be back

	State   string      `json:"following,omitempty"` // followed: locked, lost or gone
	Code    string      `json:"code,omitempty"`      // ... the label read; lost by a jump: the one that was due
	CodeTo  string      `json:"code_to,omitempty"`   // ... lost by a jump: the one that came
	Rate    string      `json:"rate,omitempty"`      // ... locked: the rate, if it is known
	Saw     show.Saw    `json:"saw,omitempty"`       // said: of the cue, or of what was commanded at a position; absent: taken back
	Who     string      `json:"who,omitempty"`       // answered: on the go / no-go list; entered, back: who goes into the field
	Answer  show.Answer `json:"answer,omitempty"`    // ... answered: absent: the one that was given is withdrawn; Reason is that of a no-go
	Turn    string      `json:"turn,omitempty"`      // ... whose turn it was, of one that came out of turn
	Without []string    `json:"without,omitempty"`   // armed, re-entered: who was not go
	LeftNS  int64       `json:"left_ns,omitempty"`   // entered: what was left of the waiting time
	LastUp  string      `json:"last_up,omitempty"`   // cut, ended: the cue that was to clear last by the list, of Up and Unknown
	Member  string      `json:"member,omitempty"`    // held: who of the crew called it, or of whom nothing is heard; refused: who called a HOLD; crew: who; said: who of the crew, absent: at the console; drill: which trainer asked for it, absent: the drill itself
	Role    string      `json:"role,omitempty"`      // crew, said, drill: a crew.Role
	Crew    crew.What   `json:"crew,omitempty"`      // ... what happened
	Place   string      `json:"place,omitempty"`     // ... joined: where a listener stands; absent: not told
	Habit   *Habit      `json:"habit,omitempty"`     // ... and how they tap; absent: not calibrated
	Hold    int         `json:"hold,omitempty"`      // ... acknowledged: which hold, counted from 1 since the run was opened
	Was     string      `json:"was,omitempty"`       // ... renamed, changed role: what it was before
	When    *time.Time  `json:"when,omitempty"`      // crew, said, drill: when they did it, by the lead's clock as their machine knows it
	BoundNS int64       `json:"bound_ns,omitempty"`  // ... which is wrong by no more than this, either way; absent: not known
	AfterNS int64       `json:"after_ns,omitempty"`  // ... acknowledged: how long after the hold was called; back: how long they were lost

	Due   []string `json:"due,omitempty"`   // held, cut: the cues that were committed and not heard
	Salvo *Salvo   `json:"salvo,omitempty"` // started, resumed, nudged: what came due at once by it
}

// A Salvo is the cues that came due at once and were spread, as show.Salvo has them.
type Salvo struct {
	Cues   int    `json:"cues"`
	First  string `json:"first"`
	Last   string `json:"last"`
	Frames int64  `json:"frames"` // from the first firing to the last
}

// Group is the group of cues that the event is about; the zero Group if none is
// named.
func (d *Data) Group() show.Group { return show.Group{By: d.GroupBy, Name: d.Name} }

// Open is what a resume left open; in logs that do not tell, nothing.
func (d *Data) Open() show.Open {
	return show.Open{Unticked: d.Unticked, Up: d.Up, Unknown: d.Unknown, Silent: d.Unheard, Asks: d.Asks, Count: d.InCount}
}

// Nudge is the nudge that was asked for; positive = cues earlier.
func (d *Data) Nudge() time.Duration {
	if d.NudgeMS == nil {
		return 0
	}
	return time.Duration(*d.NudgeMS) * time.Millisecond
}

// The kinds of entry that are not a transport's events.
const (
	KindTap       = "tap"
	KindCall      = "call"
	KindNote      = "note"          // a person's remark
	KindTicked    = "ticked"        // a line of the hold checklist
	KindUnderrun  = "underrun"      // the output ran dry
	KindOutput    = "output"        // another output plays from here on
	KindDevice    = "device"        // what the output said when it failed
	KindListening = "listening"     // a companion is heard in place of the music, or the music again
	KindSilent    = "silent track"  // a companion cannot be read
	KindSecond    = "second output" // what happened to the companion on the second output
	KindRefused   = "refused"
	KindDrill     = "drill"    // a step of a drill, or of its instructor
	KindBoard     = "board"    // the field board was opened; Count is how many devices should answer
	KindMarked    = "marked"   // a device of it
	KindSentOut   = "sent out" // somebody goes into the field
	KindBack      = "back"     // ... and is out of it again
	KindFollowed  = "followed" // how the music that the run follows stands
	KindSaid      = "said"     // what somebody at the console saw or heard of a cue or a position, or a member of the crew of a cue
	KindAnswered  = "answered" // somebody on the go / no-go list
	KindEntered   = "entered"  // somebody goes into the field, by name; KindBack ends it
	KindCrew      = "crew"     // a member of the crew did something, or something happened to one
	KindClosed    = "closed"   // the session ended in order
)

// What can become of the music that a run follows, in Data.State.
const (
	FollowLocked = "locked"
	FollowLost   = "lost"
	FollowGone   = "gone" // its input ended, or went away
)

// A Second is what happened to the second output. Its text is the word for it
// in logs.
type Second string

// What can happen to the second output.
const (
	SecondPlays   Second = "plays"         // it is there from the start
	SecondBack    Second = "back"          // it was lost and is there again
	SecondLost    Second = "lost"          // the music goes on without it
	SecondSlow    Second = "slow to begin" // it begins after the music
	SecondOverran Second = "overran"       // it went on after a hold
	SecondShort   Second = "stopped short" // it stopped before a hold
	SecondMended  Second = "put right"     // it had parted from the music, or fallen silent
	SecondApart   Second = "still apart"   // ... and putting it right has not helped yet
	SecondSilent  Second = "silent"        // its device stands still
)

// CuesOf renders a plan's cue list for a header, in firing order.
func CuesOf(p *show.Plan, cues []show.Cue) []CueLine {
	out := make([]CueLine, len(p.Cues))
	for i, pc := range p.Cues {
		c := cues[pc.List]
		out[i] = CueLine{c.ID, c.EffectAt.Milliseconds(), c.Prefire.Milliseconds(), c.Burn.Milliseconds(),
			c.Position, c.Module, c.Pin, c.Effect, c.Caliber}
	}
	return out
}

// ByHandOf names the positions that are fired by hand, for a header.
func ByHandOf(list []show.Position) (names []string) {
	for _, p := range list {
		if p.HandFired {
			names = append(names, p.Name)
		}
	}
	return names
}

// Plan rebuilds what the session ran. Its cues have the header's order.
func (h Header) Plan() *show.Plan {
	cues := make([]show.Cue, len(h.Cues))
	ms := func(n int64) time.Duration { return time.Duration(n) * time.Millisecond }
	for i, c := range h.Cues {
		cues[i] = show.Cue{ID: c.ID, EffectAt: ms(c.EffectMS), Prefire: ms(c.PreMS), Burn: ms(c.BurnMS),
			Position: c.Position, Module: c.Module, Pin: c.Pin, Effect: c.Effect, Caliber: c.Caliber,
			Family: show.FamilyOf(c.Effect)}
	}
	console := show.Console{Guard: ms(h.GuardMS), NudgeLimit: ms(h.LimitMS), Lanes: h.Lanes, Together: h.together()}
	return show.NewPlan(cues, console, h.Soundtrack.Rate, timebase.Frame(h.Soundtrack.Frames))
}

// together is the rule by which the session was run.
func (h *Header) together() int {
	if h.Together == nil {
		return show.AnyTogether
	}
	return *h.Together
}

// FromEvent makes the entry of a transport's event; ok is false for the
// events that are not logged: what is committed shows in what fires.
func FromEvent(e show.Event, t *show.Transport, cues []CueLine) (entry Entry, ok bool) {
	entry = Entry{Heard: int64(e.At), State: t.State().String(), By: e.By, Kind: e.Kind.String()}
	entry.Show = int64(e.At + timebase.FrameAt(t.Asked(), t.Plan().Rate))
	d := &entry.Data
	switch e.Kind {
	case show.EventCommitted, show.EventWithdrawn:
		return entry, false
	case show.EventFired, show.EventSkipped, show.EventMoved, show.EventBroke:
		entry.State = show.Running.String() // cues come in no other
		index, effect := e.Cue, int64(e.Effect)
		d.Cue, d.Index, d.Effect = cues[e.Cue].ID, &index, &effect
	case show.EventNudged:
		nudge := e.Nudge.Milliseconds()
		d.NudgeMS = &nudge
	case show.EventStoodDown, show.EventBroughtBack:
		d.GroupBy, d.Name = e.Group.By, e.Group.Name
	case show.EventReentered:
		place := int64(e.Effect)
		d.At = &place
	case show.EventResumed:
		d.HeldNS = int64(e.HeldFor)
		d.Unticked, d.Up, d.Unknown, d.Unheard, d.Asks, d.InCount = e.Open.Unticked, e.Open.Up, e.Open.Unknown, e.Open.Silent, e.Open.Asks, e.Open.Count
	case show.EventHeld, show.EventCut:
		d.Reason, d.Cause, d.Member = e.Reason, e.Cause, e.Member
		for _, i := range t.DueAtStop() {
			d.Due = append(d.Due, cues[i].ID)
		}
	}
	if s := e.Salvo; s.Cues > 0 {
		d.Salvo = &Salvo{s.Cues, cues[s.First].ID, cues[s.Last].ID, int64(s.Over)}
	}
	return entry, true
}
