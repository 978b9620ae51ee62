package console

import (
	"slices"

	"drylane/tui/screen"
)

// A mode is what keys are for.
type mode uint8

const (
	runMode    mode = iota // the run and its picture
	typeMode               // the text of the filter
	helpMode               // the list of keys
	quitMode               // the question whether to quit
	firstMode              // the first words
	briefMode              // a drill's briefing
	faultMode              // the question what is wrong with a device of the field board
	placeMode              // the list of places to start again from
	seenMode               // what was seen or heard of a cue
	noGoMode               // the question why somebody says no
	peopleMode             // the question who goes into the field, or is back
	linkMode               // the links for telephones
	asideMode              // a screen that is to stand, or stands, in the console's place
	leftMode               // nothing more: the console has been quit
)

// A hand is what the keys so far have come to, as far as it decides what the next
// one means. It goes on as keys arrive, whatever has been drawn by then.
type hand struct {
	mode  mode
	set   int    // index into sets
	lane  int    // marked lane
	folds []bool // of the set's lanes; replaced, never written to

	onBoard bool   // the field board stands in the lanes' place while it can
	device  string // chosen there; empty for the first

	places  placeHand // what is chosen in the list of places
	said    int       // the cue of which something is to be said, -1 for none
	search  bool      // the table of the search stands in the lanes' place while it can
	onReady bool      // the go / no-go list does, where the board does not
	asked   string    // chosen there; empty for who answers next
	people  []string  // by their digits, when they were asked for

	link int // which of the links for telephones is shown; counted on and on

	pick int // line chosen of a list that digits choose from; -1 for none yet
}

// settle changes the hand. Safe to call from any goroutine.
func (m *Screen) settle(change func(h *hand)) {
	m.mu.Lock()
	defer m.mu.Unlock()
	change(&m.keys)
}

// catchUp lets the picture follow the hand.
func (m *Screen) catchUp() {
	was := m.hand
	m.settle(func(h *hand) { m.hand = *h })
	if m.set != was.set {
		m.first = 0
	}
	if m.set != was.set || !slices.Equal(m.folds, was.folds) {
		m.arrange()
	}
}

// Back gives the keys back to the console, after another screen in its place.
func (m *Screen) Back() {
	m.settle(func(h *hand) {
		if h.mode == asideMode {
			h.mode = runMode
		}
	})
	m.catchUp()
}

// mark does the acts that change which lane is marked.
func (m *Screen) mark(h *hand, a screen.Act) {
	switch a {
	case actLaneUp, actLaneDown:
		h.moveLane(a == actLaneDown)
	case actGroup:
		h.set = (h.set + 1) % len(m.sets)
		h.lane, h.folds = 0, make([]bool, len(m.sets[h.set].names))
	case actFold:
		h.fold()
	}
}

func (h *hand) moveLane(down bool) {
	step := -1
	if down {
		step = 1
	}
	for l := h.lane + step; l >= 0 && l < len(h.folds); l += step {
		if !h.folds[l] {
			h.lane = l
			return
		}
	}
}

// fold folds the marked lane and marks another, or unfolds all when it is the last.
func (h *hand) fold() {
	open := 0
	for _, f := range h.folds {
		if !f {
			open++
		}
	}
	if open <= 1 || h.folds[h.lane] {
		h.folds = make([]bool, len(h.folds))
		return
	}
	h.folds = slices.Clone(h.folds)
	h.folds[h.lane] = true
	before := h.lane
	if h.moveLane(true); h.lane == before {
		h.moveLane(false)
	}
}
