package crew

import (
	"slices"
	"time"

	"drylane/show/drill"
	"drylane/show/session"
)

// A Drill is what trainers are told, and only they. One of its fields is set.
type Drill struct {
	Now   *Watched       `json:"now,omitempty"`   // five times a second
	Page  *Page          `json:"page,omitempty"`  // once, to each that comes
	Event *session.Entry `json:"event,omitempty"` // a step of the drill, as it is logged
}

// Watched is how the run stands besides what State tells everybody. Times without a
// frame are from the moment it was made.
type Watched struct {
	InForce time.Duration `json:"nudge_ns"` // of the next cue; positive = cues earlier
	Asked   time.Duration `json:"asked_ns"`
	After   string        `json:"after,omitempty"` // the last cue that keeps InForce, while Asked differs
	Gone    int           `json:"gone"`            // cues that have fired or been skipped
	Next    []Cue         `json:"next"`            // the first of those to come
	Up      []UpCue       `json:"up"`              // still up, the last to clear first
	UpAll   int           `json:"up_all"`          // how many are, listed or not
	Unknown int           `json:"unknown"`         // lit, and the list has no burn time
	Taps    int           `json:"taps"`
	Drift   string        `json:"drift,omitempty"` // what the taps say, in words
	Score   string        `json:"score,omitempty"` // so far, in words
	Field   string        `json:"field,omitempty"` // what answers, who is go, who is in, in words; while safe
	Output  string        `json:"output,omitempty"`
	Level   [2]float64    `json:"level"` // peak of what is heard, 0 to 1
	Mute    bool          `json:"mute"`  // nothing sounds: the wall clock drives the run
	Lost    bool          `json:"lost"`  // the sound device went away
}

// An UpCue is an effect still up.
type UpCue struct {
	Cue      string        `json:"cue"`
	Position string        `json:"position"`
	Breaks   time.Duration `json:"breaks_ns"` // until it does; 0: it burns
	Clear    time.Duration `json:"clear_ns"`  // until it is out by the list
}

// Planned is what a drill has in store, as it was drawn.
type Planned struct {
	Drill     string        `json:"drill,omitempty"` // its title; empty for a plain rehearsal
	Positions []string      `json:"positions,omitempty"`
	Steps     []PlannedStep `json:"steps,omitempty"`
	Planted   []string      `json:"planted,omitempty"` // errors in the cue list, in words
}

// A PlannedStep is something that is to happen in the run.
type PlannedStep struct {
	Step  string        `json:"step,omitempty"` // its name, by which events tell of it
	At    time.Duration `json:"at_ns"`          // of the music, or the time after After
	After string        `json:"after,omitempty"`
	Do    drill.Deed    `json:"do"`
	What  string        `json:"what"`
	Wants drill.Want    `json:"wants,omitempty"`
}

// A Page is a part of what is planned, small enough for one message.
type Page struct {
	N int `json:"n"` // 0, 1, 2, ...
	Planned
}

// Limits of what is told to trainers.
const (
	maxListed    = 24  // cues of each list in Watched
	maxPlanned   = 60  // steps, and planted errors
	maxPositions = 200 // of a show
	maxWhat      = 100 // characters that say what a step is
	pageSteps    = 12  // steps and planted errors of a page; TestFullestPage has one of 47 KiB
	pageNames    = 40  // positions of a page
	maxPages     = 5
)

func (d *Drill) clean() {
	if d.Now != nil {
		d.Now.clean()
	}
	if p := d.Page; p != nil {
		p.Planned.clean()
	}
	if d.Event != nil {
		cleanEntry(d.Event)
	}
}

func (w *Watched) clean() {
	short(maxText, &w.After, &w.Drift, &w.Score, &w.Field, &w.Output)
	w.Next, w.Up = w.Next[:min(len(w.Next), maxListed)], w.Up[:min(len(w.Up), maxListed)]
	for i := range w.Next {
		w.Next[i].clean()
	}
	for i := range w.Up {
		short(maxName, &w.Up[i].Cue, &w.Up[i].Position)
	}
}

func (p *Planned) clean() {
	short(maxText, &p.Drill)
	p.Positions = p.Positions[:min(len(p.Positions), pageNames)]
	p.Steps, p.Planted = p.Steps[:min(len(p.Steps), pageSteps)], p.Planted[:min(len(p.Planted), pageSteps)]
	for i := range p.Positions {
		short(maxName, &p.Positions[i])
	}
	for i := range p.Steps {
		s := &p.Steps[i]
		short(maxName, &s.Step, &s.After, (*string)(&s.Do), (*string)(&s.Wants))
		short(maxWhat, &s.What)
	}
	for i := range p.Planted {
		short(maxWhat, &p.Planted[i])
	}
}

// pages are what is planned in parts that a message holds.
func (p *Planned) pages() (list []Page) {
	for n := range maxPages {
		list = append(list, Page{N: n, Planned: Planned{Positions: part(p.Positions, n, pageNames),
			Steps: part(p.Steps, n, pageSteps), Planted: part(p.Planted, n, pageSteps)}})
	}
	list = slices.DeleteFunc(list, func(p Page) bool { return p.N > 0 && len(p.Positions)+len(p.Steps)+len(p.Planted) == 0 })
	for i := range list {
		list[i].Drill = p.Drill
	}
	return list
}

// part is the nth part of a list.
func part[T any](list []T, n, size int) []T {
	return slices.Clone(list[min(n*size, len(list)):min((n+1)*size, len(list))])
}

// with is what is planned with a page more; have is how many it has. The first begins
// anew, and one that is out of turn is left out.
func (p Planned) with(page *Page, have int) (Planned, int) {
	switch {
	case page.N == 0:
		return page.Planned, 1
	case page.N != have || have >= maxPages:
		return p, have
	}
	return Planned{page.Drill, slices.Concat(p.Positions, page.Positions), slices.Concat(p.Steps, page.Steps),
		slices.Concat(p.Planted, page.Planted)}, have + 1
}
