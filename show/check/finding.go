// Package check is everything that can be known of a show before it is armed.
// Its rules are pure: somebody else opens and reads the files and states what was
// found as Facts; the rules say what is wrong with it, where, and what to do
// about it.
package check

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"

	"drylane/show"
	"drylane/show/words"
)

// A Finding is one thing worth knowing. Its texts are safe to print.
type Finding struct {
	Severity show.Severity
	Code     string // one of the Code constants here or in package show
	Place    string // such as cues.csv:12, soundtrack.mp3 or position Quay
	Found    string // what is so
	Do       string // what to do about it; may be empty for a note
}

// The codes of what is found here. What the show folder's own reader found has
// its code from package show. Codes are stable: they are for filters and tests,
// the wording is for people.
const (
	CodeSoundtrackMissing = "soundtrack-missing" // no such file, or none named
	CodeSoundtrackOpen    = "soundtrack-open"    // cannot be played
	CodeSoundtrackChanged = "soundtrack-changed" // not the file that show.toml pins
	CodeSoundtrackCut     = "soundtrack-cut"     // shorter than it says it is
	CodeSoundtrackAltered = "soundtrack-altered" // fails the file's own sum of its sound
	CodeSoundtrackDamage  = "soundtrack-damage"  // places that do not decode
	CodeSoundtrackOdd     = "soundtrack-odd"     // against its format: players differ about it
	CodeStartUncertain    = "start-uncertain"    // the encoder's delay is not on record
	CodeUnpinned          = "unpinned"           // show.toml has no hash of it
	CodeClipping          = "clipping"
	CodeSilentChannel     = "silent-channel"
	CodePolarity          = "polarity"
	CodeRate              = "rate" // companions at another sample rate
	CodeCompanionMissing  = "companion-missing"
	CodeCompanionOpen     = "companion-open"
	CodeCompanionLength   = "companion-length"
	CodeWitnessNone       = "witness-none"
	CodeWitnessTone       = "witness-tone" // not heard at its time
	CodeWitnessSoon       = "witness-soon" // the show goes on before it is judged
	CodeDevices           = "devices"      // other than expected
	CodeDeviceIdle        = "device-idle"  // a module without a cue
	CodeRadio             = "radio"        // the planned link to a position
	CodeBattery           = "battery"      // the planned charge of the field's devices
	CodeDistance          = "distance"     // a position without one
	CodePrefire           = "prefire"      // implausible for the caliber
	CodeBurn              = "burn"         // effects without a burn time
	CodeNotAssessed       = "not-assessed" // effects that no rule of thumb is known for
	CodeSeparation        = "separation"   // people nearer than the rule of thumb
	CodeDecided           = "decided"      // a decision in show.toml that covers nothing
	CodeLockChanged       = "lock-changed" // not as it was rehearsed
	CodeLockEdited        = "lock-edited"  // the lock itself is not as it was written, or may not be
	CodeLockNone          = "lock-none"
	CodeLockOpen          = "lock-open"
	CodeMore              = show.CodeMore

	CodeMediaMissing = "media-missing" // a file that the show needs is not there
	CodeMediaEmpty   = "media-empty"   // it is there with nothing in it
	CodeMediaCut     = "media-cut"     // only its beginning was copied
	CodeMediaName    = "media-name"    // it has not quite the name
	CodeMediaCopy    = "media-copy"    // there is more than one of it
	CodeMediaSame    = "media-same"    // it is the rehearsed file, or its very sound
	CodeMediaCoded   = "media-coded"   // the same music, re-encoded
	CodeMediaSide    = "media-side"    // a side of a companion does not do what it is for
	CodeMediaOther   = "media-other"   // other music
	CodeMediaOpen    = "media-open"    // it cannot be played, or not be compared
	CodeMediaMore    = "media-more"    // not all of the medium was looked at
)

// String is the finding in one line.
func (f Finding) String() string {
	s := f.Severity.String() + ": "
	if f.Place != "" {
		s += f.Place + ": "
	}
	s += f.Found
	if f.Do != "" {
		s += "; " + f.Do
	}
	return s
}

// MarshalJSON writes the severity as its word.
func (f Finding) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Severity string `json:"severity"`
		Code     string `json:"code"`
		Place    string `json:"place"`
		Found    string `json:"found"`
		Do       string `json:"do"`
	}{f.Severity.String(), f.Code, f.Place, f.Found, f.Do})
}

// Findings are all that was found, the gravest first.
type Findings []Finding

// Stops are the findings that forbid arming.
func (fs Findings) Stops() Findings {
	var stops Findings
	for _, f := range fs {
		if f.Severity == show.SeverityStop {
			stops = append(stops, f)
		}
	}
	return stops
}

// With returns the findings of both, the gravest first.
func (fs Findings) With(more Findings) Findings {
	return slices.Concat(fs, more).sorted()
}

// Counts returns how many findings there are of each severity.
func (fs Findings) Counts() (stops, warns, notes int) {
	for _, f := range fs {
		switch f.Severity {
		case show.SeverityStop:
			stops++
		case show.SeverityWarn:
			warns++
		default:
			notes++
		}
	}
	return stops, warns, notes
}

// Counted counts the findings in words.
func (fs Findings) Counted() string {
	stops, warns, notes := fs.Counts()
	return fmt.Sprintf("%s, %s, %s", words.Count(stops, "stop"), words.Count(warns, "warning"), words.Count(notes, "note"))
}

// Summary is Counted, and what follows from it for arming.
func (fs Findings) Summary() string {
	s := fs.Counted()
	switch decided := fs.tooClose(); {
	case len(fs.Stops()) > 0:
		return s + ": not to be armed"
	case decided > 0:
		return s + ": to be armed on " + words.Count(decided, "decision") + " of show.toml alone, with people TOO CLOSE"
	}
	return s + ": nothing forbids arming"
}

// tooClose is how many positions have people nearer than the rule of thumb.
func (fs Findings) tooClose() int {
	n := 0
	for _, f := range fs {
		if f.Code == CodeSeparation && f.Severity > show.SeverityNote {
			n++
		}
	}
	return n
}

// sorted puts the gravest first and keeps the order of the rules within.
func (fs Findings) sorted() Findings {
	slices.SortStableFunc(fs, func(a, b Finding) int { return cmp.Compare(b.Severity, a.Severity) })
	return fs
}

// maxText bounds, in characters, what a finding repeats of a file.
const maxText = 300
