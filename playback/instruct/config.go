package instruct

import (
	"net"
	"os"
	"slices"
	"time"

	"drylane/playback/deck"
	"drylane/show"
	"drylane/show/drift"
	"drylane/show/drill"
)

// Config is what a Server works with.
type Config struct {
	// Path is where the socket is made. Its folder must be one that nobody but
	// the user can enter. Empty: named by process id, in Folder.
	Path string

	Program string // name and version
	Show    string // its title
	Drill   string // its title; empty for a plain rehearsal
	// Exercise is the drill as it was drawn; nil for a plain rehearsal.
	Exercise *drill.Exercise
	// Score says how the trainee does so far, in words; nil: nobody knows. It is
	// asked from a goroutine of the server's, now and then.
	Score func() string

	Plan   *show.Plan
	Cues   []show.Cue   // the list the plan was made from
	Tapper drift.Config // how the trainee taps
	// Positions are the show's, in the order to tell them in. Those without cues
	// are left out; those that are not among them come last.
	Positions []show.Position

	// Snapshot returns how the run stands; a deck's is one.
	Snapshot func() *deck.Snapshot
	// Act is given what an instructor asks for, checked and cleaned, with no name.
	// It is called from the instructor's own goroutine and must return at once.
	Act func(drill.Step)
	// Log is the run's; its Add must be given the entries as they come. It serves
	// one server at a time.
	Log *Log

	Now func() time.Time // nil: time.Now

	// For tests: who may connect, how patient the server is with a stuck
	// instructor, and what is called when one has gone.
	own      func(*net.UnixConn) error
	patience time.Duration
	left     func()
}

// fill sets what was left out.
func (c *Config) fill() {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Log == nil {
		c.Log = new(Log)
	}
	if c.own == nil {
		c.own = ownPeer
	}
	if c.patience == 0 {
		c.patience = patience
	}
}

// greet makes the line that begins every conversation.
func (c *Config) greet() []byte {
	h := Hello{Version: Version, Program: c.Program, PID: os.Getpid(), Show: c.Show, Drill: c.Drill,
		Rate: c.Plan.Rate, Length: c.Plan.Length.At(c.Plan.Rate), Cues: len(c.Plan.Cues)}
	h.Positions = c.positions()
	if c.Exercise != nil {
		h.Steps, h.Planted = planned(c.Exercise), planted(c.Exercise)
	}
	return line(Message{Hello: &h})
}

// positions returns the names of the positions that have cues.
func (c *Config) positions() []string {
	var names []string
	add := func(name string) {
		g := show.Group{By: show.LanesByPosition, Name: name}
		if c.Plan.Group(g) >= 0 && len(name) <= maxName && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	for _, p := range c.Positions {
		add(p.Name)
	}
	for _, g := range c.Plan.Groups {
		if g.By == show.LanesByPosition {
			add(g.Name)
		}
	}
	return names
}
