// Package following opens what a run follows in place of music of its own: timecode of
// a player that somebody else runs, on a sound input, from a file, from standard input
// or as MIDI.
package following

import (
	"time"

	"drylane/playback/follow"
)

// A Source is timecode that comes in; it is a deck's leader. It belongs to one
// goroutine. In a run by the clock Look neither waits nor allocates.
type Source interface {
	// Look reads what has come in by a moment and tells how the music stands then. The
	// error says why nothing comes in any more; io.EOF is the end of a file.
	Look(now time.Time) (follow.Now, error)
	// Step is by how much a run as fast as can be goes on between two looks. more is
	// false when there is nothing left to listen to.
	Step() (d time.Duration, more bool)
	// Waits reports that nothing comes in before the first Look: a file.
	Waits() bool
	// Name tells a person what is followed.
	Name() string
	// Close gives the device or the file back.
	Close() error
}

const (
	// fastStep is how much of the music passes at once in a run as fast as can be.
	fastStep = 5 * time.Millisecond
	// afterEnd is for how long silence is heard after the end of a file, so that code
	// that ends with it is told as code that stops.
	afterEnd = 1500 * time.Millisecond
	// stalled is how long nothing may come in of what should, beyond its latency,
	// before it counts as silence.
	stalled = 100 * time.Millisecond
)
