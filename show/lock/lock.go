// Package lock pins a show as it was rehearsed: hashes of show.toml, of every
// cue and of every sound file, in a file show.lock beside them. A lock is no
// protection against malice; it is there so that nobody fires a show other than
// the one that was rehearsed without knowing it.
package lock

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"drylane/show"
)

// File is the name of the lock in the show folder.
const File = "show.lock"

// schema names the form of the file; unsealed is the form of older versions, which
// has no sum of itself.
const (
	schema   = "drylane show lock 2"
	unsealed = "drylane show lock 1"
)

// A Lock says what a show was like.
type Lock struct {
	Schema string    `json:"schema"`
	Locked time.Time `json:"locked"`
	Title  string    `json:"title"`
	// Files are show.toml, the cue list, the soundtrack and the companions.
	Files []Entry `json:"files"`
	// Cues maps each cue's id to a hash of all that the cue list says of it.
	Cues map[string]string `json:"cues"`
	// Seal tells whether the lock is as it was written.
	Seal Seal `json:"-"`
}

// What a file of the show is for.
const (
	RoleShow       = "show"
	RoleCues       = "cues"
	RoleSoundtrack = "soundtrack"
	RoleCompanion  = "companion"
	RoleCalls      = "calls" // phrases, and recordings of them
)

// An Entry pins one file.
type Entry struct {
	File   string `json:"file"` // path in the show folder
	Role   string `json:"role"`
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"` // lower-case hex; empty for a file that is not there
	// Audio is the hash of the sound in a sound file, without its tags; empty
	// when nobody took it.
	Audio string `json:"audio,omitempty"`
}

// there reports whether the file exists.
func (e Entry) there() bool { return e.SHA256 != "" }

// Entry returns what the lock says of a file; nothing when it is not in it.
func (l *Lock) Entry(file string) Entry {
	for _, e := range l.Files {
		if e.File == file {
			return e
		}
	}
	return Entry{}
}

// New makes a lock of a show and the state of its files.
func New(s *show.Show, files []Entry, now time.Time) *Lock {
	l := &Lock{
		Schema: schema, Locked: now.UTC().Truncate(time.Second), Title: show.Clean(s.Title),
		Files: files, Cues: make(map[string]string, len(s.Cues)),
	}
	for _, c := range s.Cues {
		l.Cues[c.ID] = hashCue(c)
	}
	return l
}

// cueHashLen is how many hex digits of a cue's hash are kept: enough that two
// versions of one cue never share it by chance.
const cueHashLen = 16

// hashCue hashes all that matters of a cue. Its line does not: cues may be
// sorted anew.
func hashCue(c show.Cue) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %d %d %q %q %d %q %g %q", c.EffectAt, c.Prefire, c.Burn, c.Position, c.Module, c.Pin, c.Effect, c.Caliber, c.Note)
	return hex.EncodeToString(h.Sum(nil))[:cueHashLen]
}
