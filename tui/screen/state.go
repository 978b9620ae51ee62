package screen

import "drylane/show"

// A StateLook is how a state of the show is shown: by word, by mark and by
// colour.
type StateLook struct {
	Word, Mark string
	Bar, Clock Style
}

// StateLookOf returns how a state is shown.
func StateLookOf(s show.State) StateLook { return stateLooks[s] }

var stateLooks = map[show.State]StateLook{
	show.Safe:    {"SAFE", "○", BarSafe, ClockOff},
	show.Armed:   {"ARMED", "◆", BarArmed, ClockOff},
	show.Running: {"RUNNING", "▸", BarRun, ClockRun},
	show.Held:    {"HELD", "■", BarHeld, ClockHeld},
	show.Ended:   {"ENDED", "□", BarEnded, ClockOff},
}
