package check

import (
	"time"

	"drylane/show"
	"drylane/show/lock"
)

// Facts are what was found in a show folder. What nobody looked at is left zero,
// and no rule says anything about it.
type Facts struct {
	Show     *show.Show    // never nil
	Problems show.Problems // of show.Read
	// Music is the soundtrack.
	Music Audio
	// Companions are the files of show.toml's tracks and players, each once,
	// by path. A player that carries the soundtrack itself has no entry.
	Companions []Audio
	// Tone is what was heard where the witness should sound; nil when nobody
	// listened.
	Tone *Tone
	Lock Lock
}

// Audio is what is known of a sound file.
type Audio struct {
	File    string
	Missing bool
	// Open says why the file cannot be played; empty when it can.
	Open     string
	SHA256   string // lower-case hex; empty when nobody took it
	Rate     int
	Channels int
	Length   time.Duration
	Cut      string // how much is missing of a file that is cut off
	Unstated string // why nobody can tell whether it is whole
	Odd      string // what in it is against its format
	CutOff   bool   // what it holds above full scale is lost in decoding
	// StartUncertain is by how much the music may start late.
	StartUncertain time.Duration
	Level          *Level // nil when nobody measured
}

// opened reports that something is known of what is in the file.
func (a Audio) opened() bool { return !a.Missing && a.Open == "" && a.Rate > 0 }

// Level is what a pass over the whole file found.
type Level struct {
	Clips       int           // runs of clipped samples, of both channels
	FirstClip   time.Duration // where the first of them is
	LongestClip int64         // in samples
	AtLeast     bool          // it reaches full scale, and what it holds above is lost: TruePeak and Integrated are lower bounds
	Silent      [2]bool       // no 400 ms of the channel are heard; left, right
	Correlation float64       // of left and right, -1 to 1
	Altered     string        // how the sound fails the file's own sum of it
	Damaged     int           // places that did not decode, or hold no numbers
	FirstDamage time.Duration
	Integrated  float64 // LUFS, minus infinity for silence
	TruePeak    float64 // dBTP
}

// A Tone is what was heard around the witness's time.
type Tone struct {
	Found bool
	At    time.Duration // when it begins, from the start of the music
	Hz    float64
	For   time.Duration
}

// Lock is how the folder stands to its lock.
type Lock struct {
	// Known is set when somebody looked for a lock.
	Known bool
	// Open says why there is a lock that cannot be read.
	Open    string
	Lock    *lock.Lock // nil: there is none
	Changes []lock.Change
	Unread  []string // files that nobody has looked into yet, of which Changes says nothing
}
