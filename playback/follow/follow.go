// Package follow tells from timecode where in a soundtrack a player is that
// somebody else runs. A [Follower] is a state machine on the labels that were read
// and on the samples that have passed; [LTC] and [MTC] read the labels, out of
// sound and out of MIDI bytes. Nothing here belongs to more than one goroutine.
//
// Moments are samples of what comes in, from 0 at the first; places are times from
// the first frame of the soundtrack, below 0 before it.
//
//	state      what comes                                              becomes
//	searching  4 frames that run on, at a rate that is known           locked
//	searching  the same backwards, or at another rate                  searching, with Why
//	locked     a frame where one is due                                locked
//	locked     none when one is due, or one that does not belong there carried
//	carried    a frame where one is due                                locked
//	carried    4 frames that run on, up to 2 frames from where         locked, one slip more
//	           they are due (one was doubled, or is missing), or up
//	           to 4 from the last good one (a stop within the carry)
//	carried    4 frames that run on elsewhere                          lost: jumped
//	locked,    4 frames backwards                                      lost: backwards
//	carried    4 frames at another rate, or over 12 % from their speed lost: wrong rate
//	carried    nothing else within Carry of the last good frame        lost: stopped
//	lost       4 frames that run on from within 4 frames of where      locked, Again
//	           the last good one ended
//	lost       4 frames that run on elsewhere                          locked, not Again
//
// Frames run on when each label is the next one, begins where the one before ended
// and takes as long. So frames that are all doubled never lock, and when they set in
// they are a stop: no place is made up from them. A frame of MIDI timecode counts as
// two, since it tells of every second one.
//
// While locked and carried the place goes on between labels at the speed of the
// labels; once lost it stands. It is never more than Carry beyond the end of the
// last good frame, so that a stop is found within Carry of it.
package follow

import (
	"time"

	"drylane/show/timebase"
)

// LockFrames is how many frames that run on make a lock.
const LockFrames = 4

// Limits of the carry. A shorter one would end between two labels.
const (
	DefaultCarry = 200 * time.Millisecond
	LeastCarry   = 100 * time.Millisecond
	MostCarry    = time.Second
)

// A Config says what is followed.
type Config struct {
	SampleRate int               // of the moments, samples a second
	From       timebase.Timecode // the label at the first frame of the soundtrack
	Rate       timebase.Rate     // 0: found from the code
	Carry      time.Duration     // DefaultCarry when 0
}

// A State is how the following stands.
type State uint8

// The states.
const (
	Searching State = iota // nothing has been followed yet
	Locked                 // the code is read and the place is known
	Carried                // the code is not read just now; the place goes on for a while
	Lost                   // it was followed and is no more
)

func (s State) String() string { return [...]string{"searching", "locked", "carried", "lost"}[s] }

// A Why says why code was lost, or why it cannot be followed.
type Why uint8

// The reasons.
const (
	NoReason    Why = iota
	Stopped         // no more of it came, or nothing that can be read
	Jumped          // it went on elsewhere
	Backwards       // it runs backwards
	WrongRate       // it is of another rate than was named, or too fast or slow for any
	RateUnknown     // 23.976 and 24, or 29.97 and 30, cannot be told apart yet
	Unsure          // of music: it is at one of several places that are alike
	Preparing       // of music: the soundtrack is not ready yet to be looked up in
)

// A Loss tells of the last time that code was lost.
type Loss struct {
	N        int // how many there have been
	Why      Why
	Place    time.Duration     // at which the place stands
	From, To timebase.Timecode // Jumped: the label that was due, and that which came
}

// A Now is how the following stands at a sample.
type Now struct {
	State State
	Why   Why               // while not followed
	Place time.Duration     // with locked, carried and lost
	Label timebase.Timecode // the last one read
	Read  bool              // one has been
	Rate  timebase.Rate     // 0 while it is not known
	Speed float64           // against that rate; 1 is nominal
	Again bool              // locked from where it had been lost
	Locks int               // how often code has been locked
	Slips int               // how often it was set right by a frame or two
	Loss  Loss
	Music bool // it is music that is followed, by ear: no label is ever read
	Times int  // Unsure: how many places there are
}

// Following reports whether the place goes on.
func (n Now) Following() bool { return n.State == Locked || n.State == Carried }
