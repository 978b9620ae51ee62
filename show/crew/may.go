package crew

import "slices"

// A Deed is something that a member asks for or tells. Its text is the word for it
// in a log and on the wire: one word, so that it can be a part of an address.
type Deed string

// The deeds. Those of the shooter are done at the console alone.
const (
	Hold        Deed = "hold"        // anybody may
	Acknowledge Deed = "acknowledge" // of a hold
	Rename      Deed = "rename"
	Leave       Deed = "leave"
	Note        Deed = "note"       // a remark for the log
	Ready       Deed = "ready"      // their part of the field is
	Unready     Deed = "unready"    // ... or is not after all
	StandDown   Deed = "standdown"  // asks the shooter to stand their position down
	Withdraw    Deed = "withdraw"   // takes that back
	Seen        Deed = "seen"       // a cue went off
	Missing     Deed = "did-not-go" // a cue
	Tap         Deed = "tap"        // on an accent as it is heard out there
	Object      Deed = "object"     // refuses a resume
	Allow       Deed = "allow"      // takes that back
	Radio       Deed = "radio"      // says something as somebody in the field
	Fault       Deed = "fault"      // breaks or mends something in a drill
	Resume      Deed = "resume"
	Nudge       Deed = "nudge"
	StrikeOff   Deed = "strikeoff" // a member who does not answer
)

// A Sight is something that members are told. Its text is the word for it on the
// wire.
type Sight string

// The sights.
const (
	SeesState  Sight = "state"  // of the run, and what is heard
	SeesCrew   Sight = "crew"   // who is there
	SeesOwn    Sight = "own"    // the cues of their position
	SeesAll    Sight = "cues"   // the cues of all
	SeesEvents Sight = "events" // what happened in the run
	SeesDrill  Sight = "drill"  // what the drill has in store
)

// forAll may be done by whoever has joined, whatever as.
var forAll = []Deed{Hold, Acknowledge, Rename, Leave, Note}

// may says what each kind of role may do besides, and what it is told.
var may = map[Kind]struct {
	deeds  []Deed
	sights []Sight
}{
	Shooter:  {[]Deed{Resume, Nudge, StandDown, StrikeOff}, []Sight{SeesState, SeesCrew, SeesAll, SeesEvents}},
	Safety:   {[]Deed{Ready, Unready, Seen, Missing, Object, Allow}, []Sight{SeesState, SeesCrew, SeesAll, SeesEvents}},
	Spotter:  {[]Deed{Ready, Unready, Seen, Missing}, []Sight{SeesState, SeesCrew, SeesAll, SeesEvents}},
	Position: {[]Deed{Ready, Unready, StandDown, Withdraw, Seen, Missing}, []Sight{SeesState, SeesOwn}},
	Listener: {[]Deed{Tap}, []Sight{SeesState}},
	Trainer:  {[]Deed{Radio, Fault}, []Sight{SeesState, SeesCrew, SeesAll, SeesEvents, SeesDrill}},
}

// Deeds are all deeds there are.
func Deeds() []Deed {
	return []Deed{Hold, Acknowledge, Rename, Leave, Note, Ready, Unready, StandDown, Withdraw, Seen, Missing, Tap,
		Object, Allow, Radio, Fault, Resume, Nudge, StrikeOff}
}

// Sights are all sights there are.
func Sights() []Sight {
	return []Sight{SeesState, SeesCrew, SeesOwn, SeesAll, SeesEvents, SeesDrill}
}

// May reports whether somebody of that kind may do it.
func (k Kind) May(d Deed) bool {
	m, ok := may[k]
	return ok && (slices.Contains(forAll, d) || slices.Contains(m.deeds, d))
}

// Sees reports whether somebody of that kind is told it.
func (k Kind) Sees(s Sight) bool { return slices.Contains(may[k].sights, s) }

// Answers reports whether somebody of that kind is asked to be ready before the
// show is armed.
func (k Kind) Answers() bool { return k.May(Ready) }
