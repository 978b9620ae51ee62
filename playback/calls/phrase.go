package calls

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// A PhraseKind says what a phrase is for.
type PhraseKind uint8

// The kinds of phrase.
const (
	Warning PhraseKind = iota
	Count
	Word
)

// A Phrase is one thing to be said.
type Phrase struct {
	Kind PhraseKind
	N    int    // Count: which, 3 to 1; Warning: how many shots follow
	Text string // in words
}

// The word, and what is counted before it: common practice, no source.
const wordText = "fire"

var countText = [...]string{1: "one", 2: "two", 3: "three"}

func countPhrase(n int) Phrase { return Phrase{Count, n, countText[n]} }

func wordPhrase() Phrase { return Phrase{Word, 0, wordText} }

// warnings are the ways to warn of a series, the fullest first: the first that
// is short enough is said.
func warnings(s Series) []Phrase {
	cues := s.Cues()
	ids := make([]string, len(cues))
	for i, cue := range cues {
		ids[i] = sayable(cue.ID)
	}
	short := "next cue"
	if len(ids) > 1 {
		short = fmt.Sprintf("next %d cues", len(ids))
	}
	n := len(s.Shots)
	return []Phrase{
		{Warning, n, nameCues(ids) + ", on my count"},
		{Warning, n, short + ", on my count"},
		{Warning, n, short},
	}
}

// nameCues names cues in words: cue 12; cues 12 and 13; cues 12 to 15; cues 12,
// 14 and 20; 6 cues, 12 to 27.
func nameCues(ids []string) string {
	const most = 4 // that are named one by one
	last := len(ids) - 1
	switch {
	case last == 0:
		return "cue " + ids[0]
	case last == 1:
		return "cues " + ids[0] + " and " + ids[1]
	case inTurn(ids):
		return "cues " + ids[0] + " to " + ids[last]
	case len(ids) <= most:
		return "cues " + strings.Join(ids[:last], ", ") + " and " + ids[last]
	}
	return fmt.Sprintf("%d cues, %s to %s", len(ids), ids[0], ids[last])
}

// inTurn reports whether ids are whole numbers that follow one another.
func inTurn(ids []string) bool {
	first, err := strconv.Atoi(ids[0])
	for i, id := range ids {
		if err != nil || id != strconv.Itoa(first+i) {
			return false
		}
	}
	return true
}

// sayable leaves of an id what can be spoken: letters, digits and spaces.
func sayable(id string) string {
	const most = 24
	s := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return ' '
	}, id)
	words := []rune(strings.Join(strings.Fields(s), " "))
	if len(words) == 0 {
		return "without a number"
	}
	return strings.TrimSpace(string(words[:min(len(words), most)]))
}
