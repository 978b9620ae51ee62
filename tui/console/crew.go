package console

import (
	"drylane/playback/crew"
)

// A Crew is who takes part from other machines; crew.Lead is one. All of it returns
// at once.
type Crew interface {
	Board() *crew.Board
	Invitation() crew.Invitation
	StrikeOff(name string)
}
