package console

import (
	"fmt"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// A dayView is what has been done of a day that the console leads through.
type dayView struct {
	armed, cut, held, ended bool
}

// look notes what the run has come to.
func (v *dayView) look(s *deck.Snapshot) {
	t := &s.Transport
	switch t.State() {
	case show.Armed:
		v.armed, v.ended = true, false
	case show.Held:
		v.held = v.held || v.cut
	case show.Ended:
		v.ended = true
	case show.Safe:
		v.cut = v.cut || t.Heard() > 0 && !v.ended
	}
}

// dayRoom is how many columns a hint has, whatever the names of its keys.
const dayRoom = 78

// dayHint says what comes next in the day, in dayRoom columns.
func (m *Screen) dayHint() string {
	k := m.Keys.Name
	switch m.snap.Transport.State() {
	case show.Armed:
		return fmt.Sprintf("DAY: armed; %s starts the music", k(actGo))
	case show.Running:
		return m.dayRunning()
	case show.Held:
		return fmt.Sprintf("DAY: %s ticks the checklist, then %s resumes", k(actTick), k(actGo))
	case show.Ended:
		return fmt.Sprintf("DAY, close-out: %s says what was seen, %s makes it safe", k(actSeen), k(actGo))
	}
	switch {
	case m.boardUp():
		return m.firstFit(dayRoom, fmt.Sprintf("DAY, field: find faults; %s names, %s sends somebody, %s once all is right", k(actGo), k(actRepair), k(actField)),
			fmt.Sprintf("DAY, field: %s names a fault, %s sends somebody, %s when right", k(actGo), k(actRepair), k(actField)))
	case len(m.fieldOut()) > 0:
		return "DAY, field: somebody is out; wait until they are back (seconds in this demo)"
	case m.waiting() > 0:
		return fmt.Sprintf("DAY, made safe: WAIT %s (seconds in this demo), then %s: who goes in", timebase.ClockUp(m.waiting()), k(actRepair))
	case len(m.inField()) > 0:
		return fmt.Sprintf("DAY, made safe: %s and a digit: back from the field", k(actRepair))
	case m.madeSafe() && !m.visited():
		return fmt.Sprintf("DAY, made safe: %s and a digit: somebody goes in and looks", k(actRepair))
	case m.day.ended:
		return m.firstFit(dayRoom, fmt.Sprintf("DAY, close-out: %s says what was seen, %s leaves: the record is printed", k(actSeen), k(screen.ActQuit)),
			fmt.Sprintf("DAY, close-out: %s: what was seen; %s leaves and prints the record", k(actSeen), k(screen.ActQuit)))
	}
	return m.dayArming()
}

// dayRunning is what to try while the music plays.
func (m *Screen) dayRunning() string {
	k := m.Keys.Name
	switch {
	case !m.day.cut:
		return fmt.Sprintf("DAY: cue 1 is to be seen with the tone; %s cuts, as if it had failed", k(actCut))
	case !m.day.held:
		return fmt.Sprintf("DAY: it goes on; %s holds, as if somebody were in the fallout area", k(actHold))
	}
	return m.firstFit(dayRoom, fmt.Sprintf("DAY: until the end %s says what was seen of a cue, or that it did not go", k(actSeen)),
		fmt.Sprintf("DAY: until the end %s says what was seen, and what did not go", k(actSeen)))
}

// dayArming is what comes before the next arming.
func (m *Screen) dayArming() string {
	k := m.Keys.Name
	switch list := m.snap.Ready; {
	case list != nil && list.Next() >= 0 && m.readyUp():
		return fmt.Sprintf("DAY, go / no-go: %s for a go, %s for a no-go, until all are go", k(actTick), k(actFollow))
	case list != nil && list.Next() >= 0:
		return fmt.Sprintf("DAY, go / no-go: %s brings the list", k(actField))
	case m.mode == placeMode:
		return fmt.Sprintf("DAY, start again: choose a place with %s %s, %s arms there", k(actLaneUp), k(actLaneDown), k(actArm))
	case m.ran():
		return fmt.Sprintf("DAY, start again: %s lists the places to go on from", k(actPlaces))
	}
	return fmt.Sprintf("DAY: everybody is go; %s arms", k(actArm))
}

// visited reports whether somebody has been in the field since the show was made safe.
func (m *Screen) visited() bool {
	since := m.snap.Safe.Since
	for _, v := range m.snap.Safe.Book.Visits() {
		if !v.In.Before(since) {
			return true
		}
	}
	return since.IsZero()
}
