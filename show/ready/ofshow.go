package ready

import "drylane/show"

// common is the list where the operator has written none: common practice, no source.
// Those who are far out answer before those who look over them, and whoever answers for
// everybody's safety answers last.
var common = []show.Ask{
	{Who: "Radio check", What: "Every position and every watcher heard?", Keeps: true},
	{Who: "Field", What: "Nobody inside, all positions ready?"},
	fieldBoard,
	{Who: "Spotter", What: "Nobody in the fallout area?"},
	{Who: "Audience line", What: "All behind the line, barriers closed?", Keeps: true},
	{Who: "Weather", What: "Wind and rain within the limits?", Keeps: true},
	{Who: "Sound", What: "Right soundtrack, levels checked?", Keeps: true},
	{Who: "Safety officer", What: "Nothing against arming?"},
}

// fieldBoard is asked only where there is a board to look at.
var fieldBoard = show.Ask{Who: "Field board", What: "All answer, charged, files right?"}

// OfShow is the list of a show, by its order: the operator's own, or the common one.
// board says that the run has a field board.
func OfShow(s *show.Show, board bool) []show.Ask {
	if len(s.Ready) > 0 {
		return s.Ready
	}
	var asks []show.Ask
	for _, a := range common {
		if a != fieldBoard || board {
			asks = append(asks, a)
		}
	}
	return asks
}

// Reasons are what a no-go is often said for, for a menu; a script may say any other.
func Reasons() []string {
	return []string{"not ready", "does not answer", "somebody in the fallout area", "wind", "rain or lightning", "audience over the line", "no sound", "fire", "asked to wait"}
}
