package callplan

import (
	"fmt"
	"time"
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
			all = append(all, shot.Phrases()...)
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

// Phrases are the count and the word.
func (s Shot) Phrases() []Phrase {
	var all []Phrase
	for n := s.Count; n > 0; n-- {
		all = append(all, Phrase{Count, s.At - time.Duration(n)*time.Second, countRoom, n, countText[n]})
	}
	return append(all, Phrase{Word, s.At, wordRoom, 0, wordText})
}

// The word, and what is counted before it: common practice, no source.
const (
	wordText  = "fire"
	countRoom = 850 * time.Millisecond
	wordRoom  = Near - 50*time.Millisecond
)

var countText = [...]string{1: "one", 2: "two", 3: "three"}

// warn gives a series the fullest warning that is spoken in quiet, which is
// what lies before its first word.
func (s *Series) warn(quiet time.Duration) {
	cues := s.Cues()
	short := "next cue"
	if len(cues) > 1 {
		short = fmt.Sprintf("next %d cues", len(cues))
	}
	on := ""
	if n := len(s.Shots); n == 1 && len(cues) > 1 {
		on = " on one word"
	} else if n < len(cues) {
		on = fmt.Sprintf(" on %d words", n)
	}
	for _, name := range [...]string{nameSeries(*s), nameCues(ids(cues)) + on, short + on} {
		text := "stand by, " + name
		need := Counts*time.Second + WarnEnd + lasts(text)
		ahead := max(WarnAhead, (need + time.Second - 1).Truncate(time.Second))
		if ahead <= min(quiet, WarnMost) {
			s.Ahead, s.Warning = ahead, text
			return
		}
	}
}

// lasts is about how long a text takes to speak at 165 words a minute. A voice
// that takes longer has to hurry.
func lasts(text string) time.Duration {
	sum := 150 * time.Millisecond
	digits := 0
	for _, r := range text {
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
	return sum
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
