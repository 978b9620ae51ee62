package session

import (
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drift"
)

// Tapper is the habit as the analysis of taps takes it; nil for one that is not known.
func (h *Habit) Tapper() *drift.Tapper {
	if h == nil {
		return nil
	}
	return &drift.Tapper{Bias: time.Duration(h.BiasNS), Scatter: time.Duration(h.ScatterNS), Taps: h.Taps}
}

// Ways fills in how the music comes to where listeners stand, from the places of a show,
// the main audience first, and says for whom that is reckoned: for the main audience, or
// where the show lists none for the music itself.
func Ways(places []Place, listeners []drift.Listener) (whom string) {
	music := map[string]time.Duration{}
	main := time.Duration(0)
	whom = drift.ForMusic
	if len(places) > 0 {
		main, whom = time.Duration(places[0].MusicNS), drift.ForAudience
	}
	for _, p := range places {
		music[show.Clean(p.Name)] = time.Duration(p.MusicNS)
	}
	music[crew.AtMusic] = 0
	for i := range listeners {
		l := &listeners[i]
		at, known := music[l.Place]
		l.Placed = known
		if known {
			l.Way = at - main
		}
	}
	return whom
}
