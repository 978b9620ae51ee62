package playback

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"drylane/playback/gapless"
	"drylane/show/timebase"
)

// Info is what a soundtrack says about itself. Texts come from the file as
// they are: clean them before they reach a terminal.
type Info struct {
	Format   string // "MP3", "WAV", "FLAC", "Ogg Vorbis", "M4A" or "AAC"
	Through  string // the program that decodes it, where that is not this one
	Rate     int    // frames a second
	Channels int    // 1 or 2
	Bits     int    // per sample; 0 where the format has no such thing
	Float    bool   // the samples are floating point
	Frames   timebase.Frame
	Title    string
	Artist   string
	// Truncated says in a sentence how much is missing when the file is
	// shorter than it says it is; empty for a whole file.
	Truncated string
	// Unstated says in a sentence that the file does not state its length,
	// so that nobody can tell whether it is whole; empty otherwise.
	Unstated string
	// Odd says in a sentence what in the file is against its format, and what
	// players make of it; empty otherwise.
	Odd string
	// Altered says in a sentence that the sound is not the one that the file was
	// made from, by the file's own sum of it. Only FLAC has one, and only a pass
	// over the whole file tells; empty otherwise.
	Altered string
	// StartUncertain is by how many frames the music may start late because
	// the encoder did not write down its delay; 0 when the start is exact.
	StartUncertain timebase.Frame
	// Damage lists the damaged places met so far, in order of time: a pass over
	// the whole file finds all of them. Silence stands in for them.
	Damage []Damage
	// MP3 holds what only an MP3 has to say; nil for other formats.
	MP3 *gapless.Info
}

// A Damage is a stretch of the soundtrack that could not be decoded.
type Damage struct {
	At     timebase.Frame
	Frames timebase.Frame
	Reason string
}

// CutOff reports whether what the file holds above full scale is cut off when it is
// decoded: go-mp3 gives 16 bits.
func (i Info) CutOff() bool { return i.MP3 != nil }

// Duration is how long the soundtrack plays.
func (i Info) Duration() time.Duration { return i.Frames.At(i.Rate) }

// maxDamage bounds the list of damaged places of one file.
const maxDamage = 1000

// addDamage notes a damaged stretch, once, in order of time.
func (i *Info) addDamage(d Damage) {
	at := len(i.Damage)
	for at > 0 && i.Damage[at-1].At >= d.At {
		at--
	}
	if len(i.Damage) >= maxDamage || at < len(i.Damage) && i.Damage[at].At == d.At {
		return
	}
	i.Damage = append(i.Damage, Damage{})
	copy(i.Damage[at+1:], i.Damage[at:])
	i.Damage[at] = d
}

// setTag takes a tag in the NAME=value form of FLAC and Vorbis. Names are not
// case sensitive; the first of a name counts.
func (i *Info) setTag(comment string) {
	name, value, ok := strings.Cut(comment, "=")
	switch {
	case !ok:
	case strings.EqualFold(name, "TITLE") && i.Title == "":
		i.Title = tagText(value)
	case strings.EqualFold(name, "ARTIST") && i.Artist == "":
		i.Artist = tagText(value)
	}
}

// tagText makes valid text of at most 200 runes of a tag's value.
func tagText(s string) string {
	s = strings.TrimSpace(strings.ToValidUTF8(strings.TrimRight(s, "\x00"), "\uFFFD"))
	if utf8.RuneCountInString(s) > 200 {
		s = string([]rune(s)[:200])
	}
	return s
}

// cutShort is the sentence for a file with less music than it states.
func cutShort(stated, there timebase.Frame, rate int) string {
	return fmt.Sprintf("the file says it has %s of music, but it is cut off after %s", timebase.Clock(stated.At(rate)), timebase.Clock(there.At(rate)))
}
