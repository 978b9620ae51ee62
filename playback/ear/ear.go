// Package ear tells from what a microphone hears where in a soundtrack a player is that
// somebody else runs. A [Follower] is a state machine on the sound that comes in. What
// takes long, looking a block up in all of the soundtrack, it leaves to a [Searcher],
// which may be on another goroutine: a [Search] goes to and fro between the two.
//
// States and places are those of package follow.
//
//	state      what is heard                                           becomes
//	searching  blocks that lie on one line in the music, and on no     locked
//	           other nearly as well
//	searching  blocks that lie on several lines as well                searching, Unsure
//	searching  a short block at the beginning of the music, twice      locked
//	locked     the music where it is due                               locked
//	locked     something else for half a second, or nothing that       carried
//	           could be told: the music is quiet there, or drowned
//	carried    the music where it is due                               locked
//	carried    the music up to a quarter of a second from where it     locked, one slip more
//	           is due, twice: the player has stumbled
//	carried    clearly something else, for about 0.7 s                 lost: stopped
//	carried    what cannot be told, for MostCarry                      lost: stopped
//	locked,    the end of the music                                    lost: stopped
//	carried
//	lost       a short block close to where it was lost, twice, and    locked, Again
//	           none that lies elsewhere in the music nearly as well
//	lost       blocks that lie on one line in the music, and on no     locked
//	           other nearly as well
//
// A place is told between blocks by the samples that have passed; once lost it stands.
package ear

import (
	"time"

	"drylane/playback/locate"
)

// A Config says what is followed.
type Config struct {
	SampleRate int // of what is heard, frames a second
	Music      *locate.Music
}

const (
	// Noticed is within what time a stop of the music is noticed where it can be heard
	// clearly; up to then the place goes on.
	Noticed = 1500 * time.Millisecond
	// MostCarry is for how long the place goes on while nothing can be told.
	MostCarry = 20 * time.Second
	// drowned is for how long it does while something else is much louder.
	drowned = 3 * time.Second
)

// All that follows counts samples at locate.Rate.
const (
	hop         = 1024                   // between two measurements while locked
	searchStep  = 2048                   // between two lookups, at the least
	resumeStep  = 1024                   // ... of music that was lost
	leastBlock  = 10240                  // that is looked up: 1.28 s
	resumeBlock = 6144                   // ... of music that was lost: 0.77 s
	longerBlock = 20480                  // and, in turn with it, 2.56 s
	keep        = 2 * locate.TrackLength // that are kept beside a block
)

// samples is a duration in samples.
func samples(d time.Duration) int64 { return int64(d.Seconds() * locate.Rate) }

func seconds(sample int64) float64 { return float64(sample) / locate.Rate }
