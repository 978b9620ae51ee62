// Package show is the domain: the show folder, the cue list and the transport
// that runs one against the other. It is pure: no clock, no device, no
// terminal, and files only through an fs.FS that the caller opened.
package show

import "time"

// A Show is what a show folder says: show.toml and the cue list it names.
// A Show returned by Load is complete and consistent; it is not changed
// afterwards and may be shared between goroutines.
type Show struct {
	Title      string
	CuesFile   string
	Soundtrack Soundtrack
	Console    Console
	Witness    *Witness // nil: the show has no witness
	Positions  []Position
	Modules    []Module
	Speakers   []Speaker
	Audiences  []Audience // besides the main audience, which is at distance 0
	Air        Air
	Decided    []Decision
	Ready      []Ask // who answers before the arming; empty: show.toml does not say
	MakeSafe   MakeSafe
	Radio      *Radio   // nil: show.toml does not say how the field is reached
	Battery    *Battery // nil: nor what its devices run on
	Tracks     []Track
	Players    []Player
	Calls      Calls
	Follow     *Follow  // nil: show.toml does not say how it follows timecode; see Following
	CrewLost   LostRule // what a run with a crew does when a member is lost
	// FieldDevices is how many devices (modules and players) should answer
	// in the field; 0 when show.toml does not say.
	FieldDevices int
	// Cues are in firing order: by ignition time, then by line in the file.
	Cues []Cue
	// CuesSHA256 is the hash of the cue list file, in lower-case hex.
	CuesSHA256 string
}

// Soundtrack names the music. SHA256 is the lower-case hex hash of the file,
// empty when show.toml does not pin it.
type Soundtrack struct {
	File   string
	SHA256 string
}

// Console holds the shooter's settings for the rehearsal console.
type Console struct {
	Guard      time.Duration // 150 ms unless set
	NudgeLimit time.Duration // 10 s unless set; never more
	Lanes      string        // LanesByPosition unless set
	Checklist  []string      // ticked off during a hold before resuming
	CountIn    int           // beats counted in before a resume, 0 for none
	// Together is how many cues a nudge may make due at once, beyond what the list
	// itself fires together, before it must be asked for twice: DefaultTogether
	// unless set. AnyTogether, which no show can say, is for old session logs.
	Together int
}

// A LostRule says what a run does when a member of its crew is lost: [crew] lost of
// show.toml. Its text is the word for it there.
type LostRule string

// The rules.
const (
	LostByRole LostRule = "by role" // holds for those whom the show cannot go on without
	LostHolds  LostRule = "hold"    // holds for everybody
	LostGoesOn LostRule = "go on"   // for nobody: the shooter sees it and decides
)

// The ways to group lanes.
const (
	LanesByPosition = "position"
	LanesByModule   = "module"
	LanesByFamily   = "effect"
)

// Defaults for Console.
const (
	DefaultGuard      = 150 * time.Millisecond
	DefaultNudgeLimit = 10 * time.Second
)

// A Witness is an early tone in the soundtrack with one small cue on it.
type Witness struct {
	At  time.Duration // when the tone sounds, from the start of the music
	Cue string        // the cue that should be seen with it
}

// A Position is a place in the field that effects are fired from.
type Position struct {
	Name      string
	Distance  float64 // metres to the main audience; 0 when unknown
	Bearing   float64 // degrees clockwise from the audience's straight ahead
	HandFired bool    // a person fires by spoken calls instead of a wire
}

// A Module is a firing module in the field, with its number of pins and the
// shortest time it can take between two cues. Listing modules is optional.
type Module struct {
	Name   string
	Pins   int
	MinGap time.Duration
}

// A Speaker is a place that the music comes from.
type Speaker struct {
	Name     string
	Distance float64 // metres to the main audience
	Bearing  float64
	Delay    time.Duration // set on the sound system
}

// An Audience is a place where people watch from, other than the main
// audience, which is where all distances are measured from.
type Audience struct {
	Name     string
	Distance float64 // metres to the main audience
	Bearing  float64 // degrees clockwise from the main audience's straight ahead
}

// A Decision is a finding that would forbid arming, and that somebody answers
// for: it is a warning then. All of it is text, none of it empty.
type Decision struct {
	Finding  string // what it is about: DecideSeparation
	Position string // where
	By, Why  string // who decided, and the reason
}

// DecideSeparation is the finding that people stand too close to a position:
// the only one that can be decided on.
const DecideSeparation = "separation"

// Air states the conditions that the speed of sound is computed from.
type Air struct {
	TemperatureC float64 // 15 unless set
}

// A Track is a companion file made from the master for the field. Left and
// Right are each a Channel, as ParseChannel reads it, or empty for silence; a
// track with neither is made elsewhere.
type Track struct {
	File        string
	Left, Right string
}

// A Player is a playback device in the field and the file it must carry.
type Player struct {
	Name string
	File string
}

// A Cue is one ignition and the effect that follows it.
type Cue struct {
	ID       string
	EffectAt time.Duration // when the audience should see it, from the start of the music
	Prefire  time.Duration // from ignition to effect
	Burn     time.Duration // from effect until it is out; 0 when nobody says
	Position string
	Module   string
	Pin      int
	Effect   string
	Family   Family
	Caliber  float64 // millimetres; 0 when not given
	Note     string
	Line     int // in the cue list file, from 1
}

// IgniteAt is when the cue must be fired with no nudge: EffectAt - Prefire.
func (c Cue) IgniteAt() time.Duration { return c.EffectAt - c.Prefire }
