package rehearsal

import (
	"errors"

	"drylane/playback/crew"
	"drylane/playback/deck"
	"drylane/show/field"
	"drylane/show/session"
)

// A Crew says how others take part in a run.
type Crew struct {
	Listen string // HOST:PORT; port 0 for any that is free
	Once   bool   // a code lets in one person, and then there is another
}

// withCrew stands a gate between the deck and a crew, which comes later.
func (r *Run) withCrew(o Options, h *session.Header, cfg *deck.Config) error {
	if o.Crew == nil {
		return nil
	}
	if cfg.Now == nil {
		return errors.New("--crew: found --speed max; wanted the speed of the music: nobody else can follow")
	}
	r.crew, r.gate = o.Crew, new(crew.Gate)
	for _, a := range field.Arrivals(r.Show) {
		h.Places = append(h.Places, session.Place{Name: a.Name, MusicNS: int64(a.Music)})
	}
	r.places = h.Places
	cfg.Forbids, cfg.Unheard, cfg.Asks, cfg.StrikeOff = r.gate.Forbids, r.gate.Unheard, r.gate.Asks, r.gate.StrikeOff
	tell := cfg.OnEntry
	cfg.OnEntry = func(e session.Entry) {
		if tell != nil {
			tell(e)
		}
		r.gate.Entry(e)
	}
	return nil
}

// LetCrewIn opens the run for others, until the lead is closed. Only a run that was
// made with a Crew has a door.
func (r *Run) LetCrewIn() (*crew.Lead, error) {
	cfg := crew.Config{Program: r.program, Title: r.Show.Title, Plan: r.Plan, Cues: r.Show.Cues, Lost: r.Show.CrewLost,
		Run: r.Deck, Gate: r.gate, Listen: r.crew.Listen, Once: r.crew.Once, Places: r.places}
	if r.Drill != nil {
		cfg.Drill = "a drill" // its title would give away what is planted
	}
	return crew.Open(cfg)
}
