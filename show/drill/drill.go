// Package drill is the training of a crew: what goes wrong in a rehearsal, what
// the trainee was meant to do about it, and how well it was done.
//
// A Drill is read from a file. Draw settles what the file leaves to chance; the
// Exercise that comes of it makes the cue list that is rehearsed and a Director,
// which says, moment by moment, what goes wrong in the run. All of it goes into
// the session log, and Score works from that log alone.
//
// A drill's file is TOML, in the language of FormatHelp; Template is one to
// start from, and testdata/drills has those that come with drylane. Chances,
// lists and ranges in it are settled by a seed alone, the same way on every
// machine.
//
// How a console should answer to a fault is common practice, no source, unless
// a drill's file says otherwise.
package drill

import (
	"time"

	"drylane/show"
)

// A Drill is one exercise, as its file has it.
type Drill struct {
	Name     string        // of the file, without its ending
	Title    string        // what it is about
	Level    int           // 1 first steps, 2 one fault, 3 a hard one, 4 a full show
	Show     string        // the show's folder, beside the file; "demo" is the show that comes with drylane
	Until    time.Duration // of music heard, when the drill is over; 0: with the show
	Briefing string        // what the trainee is told before
	Good     string        // what good looks like; told afterwards
	Why      string        // why it is scored as it is, and what the example runs show
	Mends    []Mend
	Plants   []Plant
	Steps    []Step
	Ready    []show.Ask     // who answers before the arming; empty: nobody is asked but the field, on the radio
	Wait     *time.Duration // after make safe, before anybody goes in; nil: as the show has it
	Crew     []string       // who may be sent into the field; empty: as the show has it
	Board    []BoardFault   // what is wrong in the field before the arming
	Measures []Measure
	Examples []Example

	Source string // the file's text: a session log carries it, to be scored by
}

// A Mend is an error that the show's own cue list has and that the drill takes
// out of it, so that only what is planted is wrong.
type Mend struct {
	Position string        // whose cues; empty: the whole list
	Late     time.Duration // how late their effects are in the list; negative = early
	Line     int           // in the file, from 1
}

// A Plant is an error in the cue list, there from the beginning. What it is
// drawn from has one value or several, of which one is taken.
type Plant struct {
	Position string          // whose cues; empty: the whole list
	Late     []time.Duration // how much later their effects come; negative = earlier
	Grow     []time.Duration // ... and how much later still with each minute of music
	Chance   float64         // of being there at all, 0 to 1
	Line     int             // in the file, from 1
}

// A Step is one thing that happens in the run.
type Step struct {
	Name   string // by which measures and triggers refer to it; its own within the drill
	When   Trigger
	Do     Deed
	From   string     // Radio: who speaks: a position, "field", "spotter"
	Text   string     // Radio: what is said
	Group  show.Group // Dead and Alive: which effects; the zero Group is all of them
	Wants  Want       // what the trainee should now do
	Of     show.Group // Wants StandDown: of whom
	NoCut  bool       // Wants Hold: nobody is in danger, and the briefing forbids to cut
	Chance float64    // 0 to 1
	Line   int        // in the file, from 1
}

// A Trigger says when a step is due. With After empty that is when the music
// has been heard up to a moment between From and To; otherwise it is between
// From and To of wall time after the latest thing that After names: a step, or
// what the trainee did: "arm", "start", "hold", "resume", "stand down", "cut".
type Trigger struct {
	After    string
	From, To time.Duration
}

// A Want is what a step asks of the trainee. Its text is the word for it in
// files and logs.
type Want string

// The wants.
const (
	WantNothing   Want = ""
	WantHold      Want = "hold"
	WantResume    Want = "resume" // the cause of the hold is gone
	WantCut       Want = "cut"
	WantStandDown Want = "stand down"
	WantNoGo      Want = "no-go" // what From answered counts no more
	WantArm       Want = "arm"   // the field is ready, for the first time or after a cut
)

// A Measure is one thing that a run is scored by. Every measure is a number of
// which less is better; see the Kinds for what each counts.
type Measure struct {
	Kind       Kind
	Step       string  // which step it starts from, for those that do
	Good, Pass float64 // up to Good earns full marks, up to Pass half of them
	Weight     float64 // against the other measures; 1 if the file does not say
	Line       int     // in the file, from 1
}

// A Kind is what a measure measures. Its text is the word for it in files.
type Kind string

// The kinds of measure.
const (
	TimeToHold      Kind = "time to hold"       // s, from Step to the hold or cut that answers it; without end when none came
	CuesAfterCall   Kind = "cues after call"    // cues that fired between Step and the hold or cut that answers it
	TimeToResume    Kind = "time to resume"     // s, from when Step had come, nothing was up by the list and all was ticked to the resume
	EarlyArms       Kind = "early arms"         // armings before Step had come
	EarlyResumes    Kind = "early resumes"      // resumes before Step had come
	UnclearResumes  Kind = "unclear resumes"    // resumes with effects still up or unknown by the list, or with lines unticked
	TimeToCut       Kind = "time to cut"        // s, from Step
	TimeToStandDown Kind = "time to stand down" // s, from Step to the standing down of what it asks
	WrongStandDowns Kind = "wrong stand downs"  // groups stood down that no step asked for
	WrongFirstNudge Kind = "wrong first nudge"  // 1 when the first nudge went the wrong way, or none came where one was wanted
	StepsToATenth   Kind = "steps to a tenth"   // presses until the nudge first was within 0.1 s of what was wanted; without end when it never was
	Residual        Kind = "residual"           // s, between the nudge at the end and what was wanted there
	NeedlessNudges  Kind = "needless nudges"    // presses, where none was wanted
	NeedlessHolds   Kind = "needless holds"     // holds that no step asked for: a cost to the show
	NeedlessCuts    Kind = "needless cuts"      // cuts that the briefing forbids, made while nobody was in danger, and runs left before their end
	// Of the field board, up to the first arming.
	FaultsMissed   Kind = "faults missed"   // without a mark
	FaultsMisnamed Kind = "faults misnamed" // with a mark of another name
	FaultsLeft     Kind = "faults left"     // not put right
	TimeToFind     Kind = "time to find"    // s, from its opening to the first mark of the last fault
	FalseMarks     Kind = "false marks"     // devices marked at last with nothing wrong
	NeedlessWalks  Kind = "needless walks"  // devices that somebody was sent to with nothing wrong

	// Of who answers before the arming, and of who is in the field.
	ArmsWithSomebodyOut Kind = "arms with somebody out" // how often it was tried
	ArmsWithoutGo       Kind = "arms without go"        // asked for or made without every go
	GoWithoutWord       Kind = "go without word"        // ticked for somebody who had not said so
	TimeToNoGo          Kind = "time to no-go"          // s, from Step to the no-go, or the withdrawal
	EarlyEntries        Kind = "early entries"          // asked for or made before the waiting time was over
	BackWithoutWord     Kind = "back without word"      // ticked for somebody who had not said so

	// Of starts from a place after a cut, and of what was said of cues.
	TornReentries Kind = "torn re-entries" // at a place inside a count, a long burn or a chase
	CuesLeftOut   Kind = "cues left out"   // by re-entries: they are still loaded at the end
	DudsUnmarked  Kind = "duds unmarked"   // %, of the cues that did not go, of which nobody said so
	FalseDuds     Kind = "false duds"      // that went, and of which somebody said that they did not

	TimeToGoOnSilent Kind = "time to go on" // s, from Step, the loss of the device, to music that runs again
)

// An Example is a scripted run of the drill and the score it must get.
type Example struct {
	Name   string // "good" or "poor"
	Seed   uint64
	Script string // as for rehearse --auto
	Score  int    // of 100
	Says   string // why
	Line   int    // in the file, from 1
}
