package callplan

import (
	"strconv"
	"strings"
	"unicode"

	"drylane/show"
)

// name names what is called under one warning: as nameCues does where each word
// has a cue of its own, and else word by word.
func (s *Series) name() string {
	if cues := s.Cues(); len(cues) == len(s.Shots) {
		return s.nameCues(cues)
	}
	text := s.nameShot(s.Shots[0], s.noun)
	for _, shot := range s.Shots[1:] {
		text = s.words.Say(show.SayThen, "cues", text, "ids", s.nameShot(shot, s.list))
	}
	return text
}

// nameShot names a group: cues 13 and 14 together; cue 13, then 14 to 16 on
// sight. name names the cues on the word.
func (s *Series) nameShot(shot Shot, name func([]string) string) string {
	text := name(s.ids(shot.OnWord()))
	if len(shot.OnWord()) > 1 {
		text = s.words.Say(show.SayTogether, "cues", text)
	}
	if sight := shot.OnSight(); len(sight) > 0 {
		text = s.words.Say(show.SayOnSight, "cues", text, "ids", s.list(s.ids(sight)))
	}
	return text
}

// nameCues names cues in words: cue 12; cues 12 and 13; 6 cues, 12 to 27.
func (s *Series) nameCues(cues []Cue) string {
	ids := s.ids(cues)
	if len(ids) <= most || inTurn(ids) {
		return s.noun(ids)
	}
	return s.words.Say(show.SayMany, "n", strconv.Itoa(len(ids)), "first", ids[0], "last", ids[len(ids)-1])
}

// noun is a list with the word for cues.
func (s *Series) noun(ids []string) string {
	if len(ids) == 1 {
		return s.words.Say(show.SayCue, "id", ids[0])
	}
	return s.words.Say(show.SayCues, "ids", s.list(ids))
}

// most is how many cues are named one by one.
const most = 4

// list writes ids in words: 12; 12 and 13; 12 to 15; 12, 14 and 20; 12 to 27.
func (s *Series) list(ids []string) string {
	last := len(ids) - 1
	switch {
	case last == 0:
		return ids[0]
	case last > 1 && inTurn(ids) || last >= most:
		return s.words.Say(show.SayThrough, "first", ids[0], "last", ids[last])
	}
	return s.words.Say(show.SayAnd, "ids", strings.Join(ids[:last], ", "), "id", ids[last])
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
func (s *Series) ids(cues []Cue) []string {
	list := make([]string, len(cues))
	for i, c := range cues {
		if list[i] = sayable(c.ID); list[i] == "" {
			list[i] = s.words.Say(show.SayUnnamed)
		}
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
	return strings.TrimSpace(string(spoken[:min(len(spoken), longest)]))
}
