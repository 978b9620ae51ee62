package crew

import (
	"sync"
	"sync/atomic"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/session"
)

// A Gate stands between a deck and its crew: it is made before both. The deck asks it
// who forbids to go on, and tells it what went into the log. The zero Gate is open.
type Gate struct {
	why     atomic.Pointer[string]
	unheard atomic.Int64
	asks    atomic.Pointer[string]

	mu   sync.Mutex
	kept []session.Entry // the latest; never written to
	lost int             // how many were before those
	told int             // how many have been told
	dry  bool            // the latest tells that the sound ran dry: more of that is not news
	off  []string        // who is to be struck off
}

// Forbids is a deck's Forbids. It returns at once.
func (g *Gate) Forbids() string {
	if why := g.why.Load(); why != nil {
		return *why
	}
	return ""
}

func (g *Gate) forbid(why string) { g.why.Store(&why) }

// Unheard is a deck's Unheard. It returns at once.
func (g *Gate) Unheard() int { return int(g.unheard.Load()) }

// Asks is a deck's Asks. It returns at once.
func (g *Gate) Asks() string {
	if said := g.asks.Load(); said != nil {
		return *said
	}
	return ""
}

// Entry is a deck's OnEntry. What only follows from the cue list is left out. It
// returns at once.
func (g *Gate) Entry(e session.Entry) {
	switch e.Kind {
	case show.EventFired.String(), show.EventSkipped.String(), show.EventMoved.String(), show.EventBroke.String():
		return
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	dry := e.Kind == session.KindUnderrun
	if dry && g.dry {
		return
	}
	g.dry = dry
	g.kept = append(g.kept, e)
	if more := len(g.kept) - keptEvents; more > 0 {
		g.kept, g.lost = g.kept[more:], g.lost+more
	}
}

// StrikeOff is a deck's StrikeOff. It returns at once.
func (g *Gate) StrikeOff(name string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.off = append(g.off, name)
	g.off = g.off[max(0, len(g.off)-crew.MaxMembers):]
}

// struck returns who is to be struck off.
func (g *Gate) struck() []string {
	g.mu.Lock()
	defer g.mu.Unlock()
	off := g.off
	g.off = nil
	return off
}

// take returns what has not been told yet and is still kept.
func (g *Gate) take() []session.Entry {
	g.mu.Lock()
	defer g.mu.Unlock()
	news := g.kept[max(0, g.told-g.lost):]
	g.told = g.lost + len(g.kept)
	return news
}

// history returns what is kept, told or not.
func (g *Gate) history() []session.Entry {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.kept
}
