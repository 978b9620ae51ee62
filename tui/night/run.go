package night

import (
	"time"

	"drylane/show"
	"drylane/tui/console"
	"drylane/tui/screen"
)

// A runMark is how far a show of the night got when it was run last. The zero
// runMark is a show that was not run.
type runMark struct {
	end runEnd
	at  time.Duration // of the music heard
}

type runEnd uint8

const (
	notRun runEnd = iota
	ranThrough
	wasCut
	wasLeft // quit while it was running or held
)

// watch follows a show that is open, on its console: what is over may be made
// ready for another run before anybody looks at the list again.
func (m *Screen) watch(c *console.Screen, i int) {
	t := &c.Run.Snapshot().Transport
	m.ran[i].see(t.State(), t.Heard().At(c.Plan.Rate), t.Heard() >= c.Plan.Length)
}

// see takes in a moment of a run; all says that the music has been heard to
// its end. A show that is armed, or safe with nothing heard, tells nothing of
// the run before.
func (r *runMark) see(state show.State, at time.Duration, all bool) {
	switch {
	case state == show.Ended, state == show.Safe && all:
		*r = runMark{ranThrough, at}
	case state == show.Running, state == show.Held:
		*r = runMark{wasLeft, at}
	case state == show.Safe && at > 0:
		*r = runMark{wasCut, at}
	}
}

// words say in what state the show is.
func (r runMark) words() (string, screen.Style) {
	switch r.end {
	case ranThrough:
		return "ended", screen.Good
	case wasCut:
		return "cut at " + screen.ClockText(r.at), screen.Caution
	case wasLeft:
		return "left at " + screen.ClockText(r.at), screen.Caution
	}
	return "not yet run", screen.Quiet
}
