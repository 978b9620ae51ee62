// Package instruct lets a second terminal watch a rehearsal and make trouble
// in it: the instructor sees the trainee's state and taps live, speaks on the
// radio, calls faults by hand and ends the drill.
//
// The trainee's process serves a Unix socket (Serve); an instructor connects to
// it (Find, Dial). What is spoken is JSON, a message a line, no line longer than
// MaxLine. First the server says Hello, then the instructor greets it with the
// version it speaks; from then on the server sends a State five times a second
// and every Event as it comes, and the instructor sends Requests.
//
// The run never waits for an instructor. The server looks at the run as a screen
// does, by snapshots, in goroutines of its own; an instructor that does not read
// is dropped, one that vanishes is forgotten, and what one asks for is handed
// over by a call that must return at once.
//
// Only the user who runs the drill can connect: the socket lies in a folder
// that nobody else can enter, and on Linux and macOS the system is asked, for
// each connection, whose process is at the other end. On Windows there is the
// folder alone.
package instruct

import "time"

// Version is the version of what is spoken on the socket.
const Version = 3

// Limits of what is spoken.
const (
	MaxLine        = 192 << 10 // bytes of a line, with its end; TestFullestHello has one of 159 KiB
	MaxInstructors = 4         // connected at once
	MaxText        = 200       // characters of a radio message
	MaxFrom        = 40        // characters of who speaks
	maxName        = 60        // characters of a name from the show
	maxPositions   = 200       // of them in Hello
	maxListed      = 24        // cues of each list in State
	maxKept        = 1024      // events that a late instructor is told
)

const (
	stateEvery  = time.Second / 5
	greetWithin = 5 * time.Second        // for the first line, either way
	patience    = 2 * time.Second        // with an instructor who does not read
	requestGap  = 50 * time.Millisecond  // between two requests of one instructor
	lastWords   = 300 * time.Millisecond // for saying goodbye or no
)
