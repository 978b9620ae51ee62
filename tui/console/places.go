package console

import (
	"slices"
	"sync/atomic"
	"time"

	"drylane/show"
	"drylane/show/reentry"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// A placeHand is what the keys have chosen in the list of places.
type placeHand struct {
	at    time.Duration // the chosen place
	moved bool          // one was chosen; else it is the last before the cut
	typed string        // a time by hand, as far as it is written
	runUp time.Duration // the music alone before the place
}

// The run-up is set in steps of a second.
const (
	firstRunUp = 4 * time.Second
	mostRunUp  = time.Minute
)

// A placeKey is what a list of places was worked out for.
type placeKey struct {
	heard timebase.Frame
	since time.Time // of the state
	runUp time.Duration
	hand  time.Duration // a time by hand, -1 for none
	known bool          // the changes of the music were
}

// A placeList is the places as they were worked out, in order of time.
type placeList struct {
	of   placeKey
	list []reentry.Proposal
	hand *reentry.Proposal // the time by hand; nil for none
}

// A placesView keeps the places. They are worked out in the background, one list at a
// time, and neither a key nor the picture waits for them.
type placesView struct {
	latest atomic.Pointer[placeList]
	busy   atomic.Bool
	spawn  func(func()) // runs in the background
	top    int          // the first row in sight
}

func (v *placesView) begin() { v.spawn = func(f func()) { go f() } }

// ran reports whether the show is not running and has run.
func (m *Screen) ran() bool {
	t := &m.snap.Transport
	return (t.State() == show.Safe || t.State() == show.Ended) && t.Heard() > 0
}

// followPlaces has the list worked out anew where the run, or what was chosen, is no
// longer what it was worked out for.
func (m *Screen) followPlaces() {
	v, t := &m.places, m.snap.Transport
	if t.State() != show.Safe || t.Heard() == 0 && m.mode != placeMode {
		return
	}
	key := placeKey{heard: t.Heard(), since: m.snap.Since, runUp: m.hand.places.runUpNow(), hand: m.hand.places.typedAt(m.Plan), known: true}
	var changes []time.Duration
	if m.Changes != nil {
		changes, key.known = m.Changes()
	}
	if was := v.latest.Load(); was != nil && was.of == key || !v.busy.CompareAndSwap(false, true) {
		return
	}
	v.spawn(func() {
		defer v.busy.Store(false)
		l := &placeList{of: key, list: reentry.Propose(m.Show, &t, changes, key.runUp)}
		if key.hand >= 0 {
			p := reentry.ByHand(m.Show, &t, key.hand, key.runUp)
			l.hand = &p
		}
		v.latest.Store(l)
	})
}

func (h *placeHand) runUpNow() time.Duration {
	if h.runUp < 0 {
		return 0
	}
	if h.runUp == 0 {
		return firstRunUp
	}
	return h.runUp
}

// typedAt is the time by hand, -1 where there is none in the music.
func (h *placeHand) typedAt(p *show.Plan) time.Duration {
	at, err := show.ParseTime(h.typed)
	if err != nil || timebase.FrameAt(at, p.Rate) >= p.Length {
		return -1
	}
	return at
}

// chosen is the index of the chosen place in the list, -1 for none.
func (h *placeHand) chosen(list []reentry.Proposal, cut time.Duration) int {
	at := cut
	if h.moved {
		at = h.at
	}
	i, exact := slices.BinarySearchFunc(list, at, func(p reentry.Proposal, at time.Duration) int { return int(p.At - at) })
	if !exact && i > 0 {
		i--
	}
	return min(i, len(list)-1)
}

// openPlaces opens the list where the show can be started again.
func (m *Screen) openPlaces(h *hand) {
	if m.state() == show.Safe {
		h.mode, h.places = placeMode, placeHand{runUp: h.places.runUp}
	}
}

// takePlaces takes the keys of the list. ok is false for a key that is for something else.
func (m *Screen) takePlaces(h *hand, p pressed, at time.Time) (ok bool) {
	if h.mode != placeMode {
		return false
	}
	s := m.Run.Snapshot()
	if s.Transport.State() != show.Safe { // it went on without the list
		h.mode = runMode
		return false
	}
	l := m.places.latest.Load()
	switch {
	case m.typesTimes() && h.places.write(p.key):
	case m.choosePlace(h, l, placeAct(p), s.Transport.Heard().At(m.Plan.Rate)):
	case p.act == actArm:
		if c, ok := m.entry(h, l, s.Transport.Heard().At(m.Plan.Rate)); ok {
			h.mode = runMode
			m.command(c, at)
		}
	case p.key == "esc", p.act == actPlaces, p.act == screen.ActQuit, p.act == screen.ActHelp:
		h.mode = runMode
	default:
		m.stop(p.act, at)
	}
	return true
}

// placeAct is the act of a key in the list. Where the key map has nothing for them, the
// keys that anybody tries in a list do what they do without a map.
func placeAct(p pressed) screen.Act {
	if p.act != "" {
		return p.act
	}
	return map[string]screen.Act{"up": actLaneUp, "down": actLaneDown, "pgup": actScrollBack, "pgdown": actScrollOn,
		"+": actZoomIn, "=": actZoomIn, "-": actZoomOut}[p.key]
}

// choosePlace does the acts that choose a place or its run-up, and none that the run is
// asked for. ok is false for all others.
func (m *Screen) choosePlace(h *hand, l *placeList, a screen.Act, cut time.Duration) (ok bool) {
	places := &h.places
	if step := placeSteps[a]; step != 0 && l != nil {
		places.move(l.list, step, cut)
		return true
	}
	if by := byHandSteps[a]; by != 0 && l != nil {
		if from, ok := m.placeAt(h, l, cut); ok {
			last := m.Plan.Length.At(m.Plan.Rate) - time.Millisecond
			places.typed = timebase.ClockMillis(max(0, min(from+by, last)))
		}
		return true
	}
	switch a {
	case actZoomIn:
		places.setRunUp(places.runUpNow() + time.Second)
	case actZoomOut:
		places.setRunUp(places.runUpNow() - time.Second)
	default:
		return false
	}
	return true
}

// placeSteps are by how many places an act moves the choice.
var placeSteps = map[screen.Act]int{actLaneUp: -1, actLaneDown: 1, actScrollBack: -8, actScrollOn: 8}

// byHandSteps are by how much an act moves the chosen place, which is by hand from then
// on: whoever has no digits comes to any time with these.
var byHandSteps = map[screen.Act]time.Duration{
	actEarlier: -100 * time.Millisecond, actLater: 100 * time.Millisecond, actEarlier5: -time.Second, actLater5: time.Second,
}

// typesTimes reports whether a time can be typed: not where a digit arms, or stops.
func (m *Screen) typesTimes() bool {
	for d := '0'; d <= '9'; d++ {
		switch m.actOf(string(d)) {
		case actArm, actHold, actCut:
			return false
		}
	}
	return true
}

// write takes a key for the time by hand.
func (h *placeHand) write(key string) (ok bool) {
	switch {
	case key == "backspace" && h.typed != "":
		h.typed = h.typed[:len(h.typed)-1]
	case len(key) == 1 && (key[0] >= '0' && key[0] <= '9' || key == ":" || key == ".") && len(h.typed) < len("1:00:00.000"):
		h.typed += key
	default:
		return false
	}
	return true
}

func (h *placeHand) setRunUp(d time.Duration) {
	h.runUp = min(d, mostRunUp)
	if h.runUp <= 0 {
		h.runUp = -1 // none; 0 is that nobody chose
	}
}

// move chooses the place that is so many further on in the list; a time by hand is
// forgotten.
func (h *placeHand) move(list []reentry.Proposal, step int, cut time.Duration) {
	h.typed = ""
	if len(list) == 0 {
		return
	}
	i := max(0, min(h.chosen(list, cut)+step, len(list)-1))
	h.at, h.moved = list[i].At, true
}

// entry is the re-entry at the chosen place. ok is false where none is.
func (m *Screen) entry(h *hand, l *placeList, cut time.Duration) (c show.Command, ok bool) {
	at, ok := m.placeAt(h, l, cut)
	return show.Command{Action: show.Reenter, From: at, RunUp: min(h.places.runUpNow(), max(0, at))}, ok
}

// arming is what the key that arms asks for outside of the list: the top of the show or,
// for as long as a place was refused that is armed if asked for again, that place.
func (m *Screen) arming(h *hand, at time.Time) show.Command {
	s := m.Run.Snapshot()
	if s.Again.Action == show.Reenter && at.Before(s.Again.Until) {
		if c, ok := m.entry(h, m.places.latest.Load(), s.Transport.Heard().At(m.Plan.Rate)); ok {
			return c
		}
	}
	return show.Command{Action: show.Arm}
}

// placeAt is the chosen place, or the time by hand. ok is false where there is neither.
func (m *Screen) placeAt(h *hand, l *placeList, cut time.Duration) (at time.Duration, ok bool) {
	switch {
	case h.places.typed != "":
		at = h.places.typedAt(m.Plan)
	case l == nil || len(l.list) == 0:
		return 0, false
	default:
		at = l.list[h.places.chosen(l.list, cut)].At
	}
	return at, at >= 0
}
