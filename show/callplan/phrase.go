package callplan

import (
	"cmp"
	"strconv"
	"time"

	"drylane/show"
)

// A Kind says what a phrase is for.
type Kind uint8

// The kinds of phrase.
const (
	Warning Kind = iota
	Count
	Word
)

// A Phrase is one thing that is said.
type Phrase struct {
	Kind Kind
	At   time.Duration // at which its sound sets in
	Room time.Duration // in which it is over
	N    int           // Count: which, 3 to 1; Warning: how many words follow
	Text string        // as it is spoken
}

// Phrases are all that is said, by time.
func (p Plan) Phrases() []Phrase {
	var all []Phrase
	for _, s := range p {
		if warning, ok := s.Warn(); ok {
			all = append(all, warning)
		}
		for _, shot := range s.Shots {
			all = append(all, s.Calls(shot)...)
		}
	}
	return all
}

// Warn returns what is said ahead of a series, if there is time for it.
func (s Series) Warn() (p Phrase, ok bool) {
	room := s.Ahead - Counts*time.Second - WarnEnd
	return Phrase{Warning, s.Begin(), room, len(s.Shots), s.Warning}, s.Ahead > 0
}

// Pips writes the pips that stand for a phrase.
func (p Phrase) Pips() string {
	switch {
	case p.Kind == Count:
		return "high"
	case p.Kind == Word:
		return "LONG HIGH"
	case p.N > 1:
		return "low, low, low"
	}
	return "low, low"
}

// Calls are the count and the word of one of its shots.
func (s Series) Calls(shot Shot) []Phrase {
	var all []Phrase
	for n := shot.Count; n > 0; n-- {
		all = append(all, Phrase{Count, shot.At - time.Duration(n)*time.Second, countRoom, n, s.words.Say(counted[n])})
	}
	return append(all, Phrase{Word, shot.At, wordRoom, 0, s.words.Say(show.SayFire)})
}

// What a count or a word may take: it is over before the next phrase begins.
const (
	countRoom = 850 * time.Millisecond
	wordRoom  = Near - 50*time.Millisecond
)

var counted = [...]string{1: show.SayOne, 2: show.SayTwo, 3: show.SayThree}

// warn gives a series the fullest warning that is spoken in quiet, which is
// what lies before its first word.
func (s *Series) warn(quiet time.Duration) {
	cues := s.Cues()
	short := s.words.Say(show.SayNext)
	if len(cues) > 1 {
		short = s.words.Say(show.SayNextMany, "n", strconv.Itoa(len(cues)))
	}
	for _, name := range [...]string{s.name(), s.onWords(s.nameCues(cues)), s.onWords(short)} {
		text := s.words.Say(show.SayStandBy, "cues", name)
		need := Counts*time.Second + WarnEnd + lasts(s.words, text)
		ahead := max(WarnAhead, (need + time.Second - 1).Truncate(time.Second))
		if ahead <= min(quiet, WarnMost) {
			s.Ahead, s.Warning = ahead, text
			return
		}
	}
}

// onWords adds to a name of all cues how many words they have, if not each its
// own.
func (s *Series) onWords(name string) string {
	switch n := len(s.Shots); {
	case n == len(s.Cues()):
		return name
	case n == 1:
		return s.words.Say(show.SayOneWord, "cues", name)
	default:
		return s.words.Say(show.SayWords, "cues", name, "n", strconv.Itoa(n))
	}
}

// lasts is about how long a text takes to speak at 165 words a minute. A voice
// that takes longer has to hurry.
func lasts(words show.CallWords, text string) time.Duration {
	sum := 150 * time.Millisecond
	digits := 0
	for _, r := range words.Spoken(text) {
		if r < '0' || r > '9' {
			digits = 0
		}
		switch {
		case r == ',':
			sum += 150 * time.Millisecond
		case r >= '0' && r <= '9':
			digits++
			sum += digitLasts(digits)
		case r > 0x24F: // a script of syllables or of whole words
			sum += 250 * time.Millisecond
		default:
			sum += 50 * time.Millisecond
		}
	}
	return time.Duration(float64(sum) * cmp.Or(words.Pace, 1))
}

// digitLasts is what the nth digit of a number adds: the third brings a hundred.
func digitLasts(nth int) time.Duration {
	switch nth {
	case 1:
		return 300 * time.Millisecond
	case 2:
		return 250 * time.Millisecond
	}
	return 700 * time.Millisecond
}
