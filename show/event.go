package show

import (
	"time"

	"drylane/show/timebase"
)

// A State is what the run is doing.
type State uint8

// The states, and the ways between them:
//
//	safe -> armed -> running <-> held
//	                 running  -> ended -> safe
//	armed, running, held -> safe (cut)
//	safe -> armed (re-entry: the run will start from a chosen place)
const (
	Safe State = iota
	Armed
	Running
	Held
	Ended
)

var stateNames = [...]string{"safe", "armed", "running", "held", "ended"}

func (s State) String() string { return stateNames[s] }

// An Action is what a Command asks for.
type Action uint8

// The actions a shooter can take.
const (
	Arm       Action = iota // from safe; the run will start from the top
	Start                   // from armed
	Hold                    // from running; Reason says why
	Resume                  // from held; HeldFor says how long it lasted
	Nudge                   // from armed, running or held; Step says how far
	StandDown               // from armed, running or held; Group says what
	BringBack               // the same way back
	Cut                     // from armed, running or held: to safe at once
	Reset                   // from ended: to safe
	Reenter                 // from safe; From and RunUp say where the run will start
	actionCount
)

var actionNames = [actionCount]string{"arm", "start", "hold", "resume", "nudge", "stand down", "bring back", "cut", "reset", "re-enter"}

func (a Action) String() string { return actionNames[a] }

// A Command is one thing a shooter, a script or the engine asks of a Transport.
type Command struct {
	Action  Action
	Step    time.Duration // Nudge: added to the nudge; positive = cues earlier
	Group   Group         // StandDown and BringBack
	HeldFor time.Duration // Resume: how long the hold lasted by the wall clock
	Open    Open          // Resume: what it left open
	By      By            // who asks for it
	Member  string        // ... of the crew; or of whom nothing is heard
	Reason  string        // Hold and Cut: why, in the words of who asks
	Cause   Cause         // Hold and Cut: why, where no person asks
	From    time.Duration // Reenter: the place in the music from which on effects are seen
	RunUp   time.Duration // ... and how long before it the music begins
	Anyway  bool          // Start, Resume and Nudge: whatever it leaves open, however many cues come due at once; Arm and Reenter: whoever is not go
}

// An EventKind says what happened.
type EventKind uint8

// The kinds of event.
const (
	// Answers to commands, one for each command that was taken.
	EventArmed EventKind = iota
	EventStarted
	EventHeld
	EventResumed
	EventNudged
	EventStoodDown
	EventBroughtBack
	EventCut
	EventReset
	EventReentered // the run will start at At; effects are seen from Effect on
	// What the cue list does.
	EventCommitted // Cue will fire at At; its effect is due at Effect
	EventWithdrawn // Cue was committed and will not fire as committed
	EventFired     // Cue fired at At; its effect is due at Effect
	EventSkipped   // Cue came due at At while stood down
	EventMoved     // Cue, lit before a hold, has its effect at Effect instead
	EventBroke     // Cue, lit before a hold, had its effect during the hold
	EventEnded
	eventKindCount
)

var eventNames = [eventKindCount]string{"armed", "started", "held", "resumed", "nudged", "stood down", "brought back",
	"cut", "reset", "re-entered", "committed", "withdrawn", "fired", "skipped", "moved", "broke", "ended"}

func (k EventKind) String() string { return eventNames[k] }

// An Event is one thing that happened in a run.
type Event struct {
	Kind    EventKind
	At      timebase.Frame // when, in frames heard
	Cue     int            // index into Plan.Cues; -1 when the event is not a cue's
	Effect  timebase.Frame // committed, fired, moved: when the effect is due
	Nudge   time.Duration
	Group   Group
	HeldFor time.Duration
	Open    Open   // resumed, as the command has it
	By      By     // answers to commands: who asked
	Member  string // ... of the crew, as the command has it
	Reason  string // held and cut, as the command has it
	Cause   Cause  // ...
	Salvo   Salvo  // started, resumed and nudged: what comes due at once by it
}
