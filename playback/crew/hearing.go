package crew

import (
	"slices"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A Listened is what the taps of the crew's listeners tell since the last nudge.
type Listened struct {
	drift.Places
	Nudge time.Duration // that they were made under
	Taps  int
}

// A heardTap is a tap of a listener.
type heardTap struct {
	id, name string
	at       timebase.Frame
	nudge    time.Duration
	clock    time.Duration // how far wrong at may be, either way
}

// A hearing gathers taps. It belongs to one goroutine.
type hearing struct {
	nudge  time.Duration
	ids    []string // in the order of their first taps
	of     map[string]*drift.Listener
	latest timebase.Frame
	news   bool
}

// Limits of what is reckoned with while the run goes on: the log has all of it.
const (
	mostTaps    = 200 // of one listener, the latest
	reckonEvery = time.Second
	backstep    = 10 * time.Second // further back than any tap that comes late
)

// take takes a tap of somebody who stands there.
func (h *hearing) take(t heardTap, s seat, rate int) {
	again := t.at+timebase.FrameAt(backstep, rate) < h.latest // the run began anew
	if h.of == nil || t.nudge != h.nudge || again {
		*h = hearing{nudge: t.nudge, of: map[string]*drift.Listener{}}
	}
	l := h.of[t.id]
	if l == nil {
		l = &drift.Listener{Place: s.place, Habit: s.habit.Tapper()}
		h.of[t.id], h.ids = l, append(h.ids, t.id)
	}
	h.latest = max(h.latest, t.at)
	l.Name, l.Clock = t.name, max(l.Clock, t.clock)
	l.Taps = append(l.Taps, drift.Tap{Heard: t.at.At(rate)})
	l.Taps = l.Taps[max(0, len(l.Taps)-mostTaps):]
	h.news = true
}

// reckon joins the taps so far.
func (h *hearing) reckon(cues []drift.Effect, places []session.Place) *Listened {
	h.news = false
	var list []drift.Listener
	out := &Listened{Nudge: h.nudge}
	for _, id := range h.ids {
		l := *h.of[id]
		l.Taps = slices.Clone(l.Taps)
		list, out.Taps = append(list, l), out.Taps+len(l.Taps)
	}
	out.Places = drift.JoinPlaces(cues, list, session.Ways(places, list), 0)
	return out
}

// listen gathers taps and reckons with them, at most a tenth of the time. Nobody waits
// for it.
func (l *Lead) listen() {
	defer l.wg.Done()
	var h hearing
	next := time.NewTimer(reckonEvery)
	defer next.Stop()
	for {
		select {
		case <-l.closing:
			return
		case t := <-l.taps:
			h.take(t.heardTap, t.seat, l.cfg.Plan.Rate)
		case <-next.C:
			wait := reckonEvery
			switch s := l.cfg.Run.Snapshot(); {
			case s.Transport.State() == show.Armed:
				h = hearing{}
				l.listened.Store(nil)
			case h.news:
				began := time.Now()
				l.listened.Store(h.reckon(deck.CuesInForce(&s.Transport, l.cfg.Cues), l.cfg.Places))
				wait = max(wait, 10*time.Since(began))
			}
			next.Reset(wait)
		}
	}
}

// A seatedTap is a tap with where it was made.
type seatedTap struct {
	heardTap
	seat
}

// hearTap hands a tap on, or drops it where too many wait: the log has it.
func (l *Lead) hearTap(t heardTap) {
	select {
	case l.taps <- seatedTap{t, l.seats[t.id]}:
	default:
	}
}
