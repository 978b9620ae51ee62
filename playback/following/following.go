// Package following opens what a run follows in place of music of its own: timecode of
// a player that somebody else runs, on a sound input, from a file, from standard input
// or as MIDI; or the music itself, which is heard.
package following

import (
	"time"

	"drylane/playback/deck"
)

// A Source is what comes in and is followed; io.EOF is its end. It belongs to one goroutine.
type Source = deck.Leader

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
