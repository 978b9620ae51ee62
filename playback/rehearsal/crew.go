package rehearsal

import (
	"context"
	"errors"

	"drylane/playback/crew"
	"drylane/playback/crewpage"
	"drylane/playback/deck"
	"drylane/playback/earpiece"
	"drylane/show/field"
	"drylane/show/session"
)

// A Crew says how others take part in a run.
type Crew struct {
	Listen string // HOST:PORT; port 0 for any that is free
	Once   bool   // a code lets in one person, and then there is another
	Via    crew.Via
	Page   string // HOST:PORT of the page for telephones; empty: none is served
	Else   bool   // ... at any that is free where that one is taken
	Plain  bool   // ... without TLS
}

// withCrew stands a gate between the deck and whoever comes later: a crew, or trainers at
// this machine, who may come to a drill that a person drives.
func (r *Run) withCrew(o Options, h *session.Header, cfg *deck.Config) error {
	byHand := o.Drill != nil && o.Script == nil && cfg.Now != nil
	switch {
	case o.Crew == nil && !byHand:
		return nil
	case cfg.Now == nil:
		return errors.New("--crew: found --speed max; wanted the speed of the music: nobody else can follow")
	}
	r.crew, r.gate = o.Crew, new(crew.Gate)
	if o.Crew != nil {
		cfg.Forbids, cfg.Unheard, cfg.Asks, cfg.StrikeOff = r.gate.Forbids, r.gate.Unheard, r.gate.Asks, r.gate.StrikeOff
		for _, a := range field.MusicArrivals(r.Show) {
			h.Places = append(h.Places, session.Place{Name: a.Name, MusicNS: int64(a.Music)})
		}
		r.places = h.Places
	}
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
	cfg := r.crewConfig()
	cfg.Lost, cfg.Listen, cfg.Once, cfg.Places = r.Show.CrewLost, r.crew.Listen, r.crew.Once, r.places
	cfg.Via, cfg.Copy = r.crew.Via, earpiece.Copied(context.Background(), r.Folder)
	lead, err := crew.Open(cfg)
	if err != nil || r.crew.Page == "" {
		return lead, err
	}
	if _, err := crewpage.Open(crewpage.Config{Lead: lead, Title: r.Show.Title, Listen: r.crew.Page, Else: r.crew.Else, Plain: r.crew.Plain}); err != nil {
		lead.Close()
		return nil, err
	}
	return lead, nil
}

// crewConfig is what a lead works with, but for where it listens and by what rules.
func (r *Run) crewConfig() crew.Config {
	cfg := crew.Config{Program: r.program, Title: r.Show.Title, Plan: r.Plan, Cues: r.Show.Cues, Run: r.Deck, Gate: r.gate, Training: r.training()}
	if r.Drill != nil {
		cfg.Drill = "a drill" // its title would give away what is planted
	}
	return cfg
}
