package drill

import (
	"slices"
	"strings"

	"drylane/show"
)

// A Deed is what a step does. Its text is the word for it in files and logs.
type Deed string

// The deeds. All else that is known of them stands in the table below.
const (
	Radio      Deed = "radio"
	MusicOff   Deed = "music off"
	MusicOn    Deed = "music on"
	Dead       Deed = "dead"
	Alive      Deed = "alive"
	CallsOff   Deed = "calls off"
	CallsOn    Deed = "calls on"
	DeviceLost Deed = "device lost"
	DeviceBack Deed = "device back"
	LateOne    Deed = "late_one"
	Go         Deed = "go"
	NoGo       Deed = "no-go"
	Back       Deed = "back"
	Over       Deed = "over"
)

// A deedRow is what is known of a deed. In its texts %s is whom it is about.
type deedRow struct {
	do    Deed
	ends  Deed // the fault that it puts right; empty for one that begins a fault or is none
	takes takes
	kind  MomentKind
	holds bool // the console holds by itself

	says string // on the timeline of a debrief
	told string // to the instructor; empty: the deed's word
	menu string // the line of the instructor's menu that does it; empty: there is none
	help string // in FormatHelp; empty: another deed's line tells of it
	// lacks says what a show lacks for the deed to be noticed; nil: any show will do.
	lacks func(s *show.Show, g show.Group) string
}

// A takes says what a deed needs to be told.
type takes uint8

const (
	takesNothing  takes = iota
	takesWords          // who speaks, and what is said
	takesCues           // a position, module or effect; none is all of them
	takesPosition       // a position
)

// deedTable has a row for each deed, in the order in which they are listed.
var deedTable = []deedRow{
	{do: Radio, takes: takesWords, kind: IsCall,
		help: "from says text"},
	{do: Go, takes: takesWords, kind: IsCall,
		help: "from, whom a [[ready]] asks, says text on the radio, which is their go"},
	{do: NoGo, takes: takesWords, kind: IsCall,
		help: "the same, which is their no-go: text is the reason"},
	{do: Back, takes: takesWords, kind: IsCall,
		help: "from says text and is out of the field; the trainee ticks it"},
	{do: MusicOff, kind: IsFault,
		says: "the music falls silent", menu: "the music goes silent",
		help: "the soundtrack goes silent, and nobody is told; music on ends it"},
	{do: MusicOn, ends: MusicOff, kind: IsFault,
		says: "the music is there again", menu: "the music is there again"},
	{do: Dead, takes: takesCues, kind: IsFault,
		says: "%s stops going off", told: "%s dead", menu: "%s goes dead: its cues light nothing",
		help: "what cues light does not go off, and nobody is told; alive ends it"},
	{do: Alive, ends: Dead, takes: takesCues, kind: IsFault,
		says: "%s goes off again", told: "%s alive", menu: "%s works again"},
	{do: CallsOff, takes: takesPosition, kind: IsFault, lacks: lacksCalls,
		says: "the calls of %s fall silent", told: "calls of %s off", menu: "calls of %s fall silent",
		help: "a position's calls fall silent on its track, and nobody is told; calls on ends it"},
	{do: CallsOn, ends: CallsOff, takes: takesPosition, kind: IsFault,
		says: "the calls of %s are there again", told: "calls of %s on", menu: "calls of %s are there again"},
	{do: DeviceLost, kind: IsFault, holds: true,
		says: "the sound device goes away", menu: "the sound device is lost",
		help: "the sound device goes away; device back: it can be had again"},
	{do: DeviceBack, ends: DeviceLost, kind: IsFault,
		says: "the sound device can be had again", menu: "the sound device can be had again"},
	{do: LateOne, takes: takesPosition, kind: IsFault,
		says: "%s fires a late one", told: "%s fires a late one",
		help: "while held: a position fires all the same what was due at the hold, or else its next cue"},
	{do: Over, kind: IsRun,
		says: "the drill is over", told: "the drill ends",
		help: "the drill is over"},
}

// lacksCalls says which track a show lacks for the calls of a position to be
// heard, and so to be missed.
func lacksCalls(s *show.Show, g show.Group) string {
	for _, t := range s.Tracks {
		if calls := t.CallsOf(); g.Name == "" || calls[0] == g.Name || calls[1] == g.Name {
			return ""
		}
	}
	return "a [[track]] of the show with its calls on one side, such as left = " + show.Quote(show.Channel{Source: show.ChannelCalls, Position: g.Name}.String())
}

// row is what is known of the deed; of one that there is not, nothing.
func (d Deed) row() deedRow {
	if i := slices.IndexFunc(deedTable, func(r deedRow) bool { return r.do == d }); i >= 0 {
		return deedTable[i]
	}
	return deedRow{do: d, kind: IsFault, says: text(string(d))}
}

// deedsThat are the deeds whose rows are so.
func deedsThat(so func(r *deedRow) bool) []Deed {
	var list []Deed
	for i := range deedTable {
		if so(&deedTable[i]) {
			list = append(list, deedTable[i].do)
		}
	}
	return list
}

// Deeds are all deeds, in the order in which they are listed.
func Deeds() []Deed { return deedsThat(func(*deedRow) bool { return true }) }

// MenuDeeds are the deeds on the instructor's menu.
func MenuDeeds() []Deed { return deedsThat(func(r *deedRow) bool { return r.menu != "" }) }

// TakesWords reports whether the deed says something on the radio.
func (d Deed) TakesWords() bool { return d.row().takes == takesWords }

// TakesGroup reports whether the deed is about a group of cues, or all of them.
func (d Deed) TakesGroup() bool {
	r := d.row()
	return takesGroup(&r)
}

func takesGroup(r *deedRow) bool { return r.takes == takesCues || r.takes == takesPosition }

// Wants says what the deed must be about, where it cannot be about g.
func (d Deed) Wants(g show.Group) string {
	if d.row().takes == takesPosition && (g.By != show.LanesByPosition || g.Name == "") {
		return "a position"
	}
	return ""
}

// Mends reports whether the deed puts a fault right.
func (d Deed) Mends() bool { return d.row().ends != "" }

// Told says to an instructor what the deed does, or did, to a group.
func (d Deed) Told(g show.Group) string {
	r := d.row()
	if r.told == "" {
		return string(d)
	}
	return about(r.told, strings.TrimSpace(g.By+" "+g.Name), "everything")
}

// Menu is the deed's line in the instructor's menu, for a chosen position.
func (d Deed) Menu(position string) string { return about(d.row().menu, position, "everything") }

// about puts whom it is about into a text, or all when there is nobody.
func about(text, whom, all string) string {
	if whom == "" {
		whom = all
	}
	return strings.Replace(text, "%s", whom, 1)
}
