package callplan

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"drylane/show/words"
)

// nameSeries names what is called under one warning: as nameCues does where
// each word has a cue of its own, and else word by word.
func nameSeries(s Series) string {
	cues := s.Cues()
	if len(cues) == len(s.Shots) {
		return nameCues(ids(cues))
	}
	parts := make([]string, len(s.Shots))
	for i, shot := range s.Shots {
		parts[i] = nameShot(shot)
	}
	cue := "cue "
	if len(s.Shots[0].OnWord()) > 1 {
		cue = "cues "
	}
	return cue + strings.Join(parts, ", then ")
}

// nameShot names a group: 13; 13 and 14 together; 13, then 14 to 16 on sight.
func nameShot(s Shot) string {
	text := list(ids(s.OnWord()))
	if len(s.OnWord()) > 1 {
		text += " together"
	}
	if sight := s.OnSight(); len(sight) > 0 {
		text += ", then " + list(ids(sight)) + " on sight"
	}
	return text
}

// nameCues names cues in words: cue 12; cues 12 and 13; 6 cues, 12 to 27.
func nameCues(ids []string) string {
	switch {
	case len(ids) == 1:
		return "cue " + ids[0]
	case len(ids) <= most || inTurn(ids):
		return "cues " + list(ids)
	}
	return fmt.Sprintf("%d cues, %s", len(ids), list(ids))
}

// most is how many cues are named one by one.
const most = 4

// list writes ids in words: 12; 12 and 13; 12 to 15; 12, 14 and 20; 12 to 27.
func list(ids []string) string {
	if last := len(ids) - 1; last > 1 && inTurn(ids) || last >= most {
		return ids[0] + " to " + ids[last]
	}
	return words.List(ids)
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

// ids are the names of cues as they are spoken.
func ids(cues []Cue) []string {
	list := make([]string, len(cues))
	for i, c := range cues {
		list[i] = sayable(c.ID)
	}
	return list
}

// sayable leaves of an id what can be spoken: letters, digits and spaces.
func sayable(id string) string {
	const longest = 24
	s := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return ' '
	}, id)
	spoken := []rune(strings.Join(strings.Fields(s), " "))
	if len(spoken) == 0 {
		return "without a number"
	}
	return strings.TrimSpace(string(spoken[:min(len(spoken), longest)]))
}
