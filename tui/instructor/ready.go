package instructor

import (
	"cmp"

	link "drylane/playback/crew"
	"drylane/show/drill"
)

// A readyMessage is one that an instructor need not write. What is said on a
// radio in the field, and what it asks of the shooter, is common practice, no
// source.
type readyMessage struct {
	from  string // who speaks; empty: the chosen position
	text  string
	wants drill.Want
}

// Nobody works in the field while the show is held: who has to go in asks to make
// safe, and reports ready when all are out. Of aircraft the airspace is free; of what
// is up the spotter speaks in other words.
var readyMessages = []readyMessage{
	{"", "Hold, hold, hold. Person in the fallout area.", drill.WantHold},
	{"", "The person is out, the fallout area is clear.", drill.WantResume},
	{"", "Our module does not answer.", drill.WantStandDown},
	{"", "Module answers again. Nobody was at it.", drill.WantNothing},
	{"", "Nothing went up on our last cue.", drill.WantNothing},
	{"", "Misfire in the rack. Nobody goes near it.", drill.WantStandDown},
	{"", "A rack has fallen over. Cut, cut, cut.", drill.WantCut},
	{"", "Grass is burning beside the racks. Hold.", drill.WantHold},
	{"", "We have to go in. Make safe.", drill.WantCut},
	{"field", "All out of the field and accounted for. Ready.", drill.WantArm},
	{"spotter", "Boat inside the line. Hold.", drill.WantHold},
	{"spotter", "Boat is out, the water is clear.", drill.WantResume},
	{"spotter", "Aircraft low, coming this way. Hold.", drill.WantHold},
	{"spotter", "Aircraft is gone, the airspace is free.", drill.WantResume},
	{"spotter", "Wind is over the limit. Hold.", drill.WantHold},
	{"spotter", "Wind is down again and stays there.", drill.WantResume},
	{"spotter", "Fallout is coming down on the crowd line. Cut.", drill.WantCut},
	{"", "Something went off here in the hold.", drill.WantStandDown},
	{"field", "All positions. Ready.", drill.WantArm},
	{"field", "Console is safe, confirmed. Going in.", drill.WantNothing},
	{"field", "No music out here.", drill.WantHold},
	{"field", "The music is back.", drill.WantResume},
	{"field", "The bursts look late from here.", drill.WantNothing},
	{"field", "The bursts look early from here.", drill.WantNothing},
}

// deed is the message as spoken by, or about, a position.
func (r readyMessage) deed(position string) link.Deed {
	d := link.Deed{From: cmp.Or(r.from, position, "field"), Text: r.text, Wants: string(r.wants)}
	if r.wants != drill.WantStandDown {
		return d
	}
	if position == "" {
		d.Wants = "" // there is nobody to stand down
	}
	return group(d, position)
}

// faultWants is what a fault called by hand asks of the shooter, so that the answer
// gets a time: common practice, no source. A lost device is held by the console.
var faultWants = map[drill.Deed]drill.Want{drill.MusicOff: drill.WantHold, drill.Dead: drill.WantStandDown, drill.CallsOff: drill.WantHold}

// faultDeed asks for a deed of the faults' menu, for a position where it is about one.
func faultDeed(do drill.Deed, position string) link.Deed {
	wants := faultWants[do]
	if wants == drill.WantStandDown && position == "" {
		wants = drill.WantHold // all is dead, and there is nobody to stand down
	}
	d := link.Deed{Do: string(do), Wants: string(wants)}
	if do.TakesGroup() {
		return group(d, position)
	}
	return d
}

// radioWants are what a message that is written can ask for.
var radioWants = []struct {
	want  drill.Want
	words string
}{
	{drill.WantNothing, "asks for nothing"},
	{drill.WantHold, "asks for a hold"},
	{drill.WantResume, "says that the cause of the hold is gone"},
	{drill.WantCut, "asks for a cut"},
	{drill.WantStandDown, "asks to stand the position down"},
	{drill.WantArm, "says that the field is ready"},
}
