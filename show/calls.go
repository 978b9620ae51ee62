package show

import (
	"cmp"
	"embed"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"
)

// Calls are the words in which the positions of a show are called.
type Calls struct {
	Language string    // as in Languages; English unless set
	File     string    // own phrases, in the show folder; empty for those that come along
	Words    CallWords // those of the language, with the own ones laid over
}

// CallWords are the phrases of one language.
type CallWords struct {
	Voice    string            // that speaks them, as espeak-ng names it
	Pace     float64           // how much longer than in English they take to speak; 0 for as long
	say      map[string]string // by the names below, with what is put in between braces
	spoken   *strings.Replacer // what a voice reads in place of what is written; nil for all as it is
	Recorded map[string]string // a file of the show folder, by the words that it stands in for
}

// The phrases of a language, and the parts that they are made of.
const (
	SayStandBy  = "stand_by"
	SayCue      = "cue"
	SayCues     = "cues"
	SayMany     = "many"
	SayAnd      = "and"
	SayThrough  = "through"
	SayTogether = "together"
	SayOnSight  = "on_sight"
	SayThen     = "then"
	SayNext     = "next"
	SayNextMany = "next_many"
	SayOneWord  = "one_word"
	SayWords    = "words"
	SayUnnamed  = "unnamed"
	SayThree    = "three"
	SayTwo      = "two"
	SayOne      = "one"
	SayFire     = "fire"
	SayStop     = "stop"
	SayAllClear = "all_clear"
)

// putIn is what each phrase must have put in.
var putIn = map[string][]string{
	SayStandBy: {"cues"}, SayCue: {"id"}, SayCues: {"ids"}, SayMany: {"n", "first", "last"}, SayAnd: {"ids", "id"},
	SayThrough: {"first", "last"}, SayTogether: {"cues"}, SayOnSight: {"cues", "ids"}, SayThen: {"cues", "ids"},
	SayNext: nil, SayNextMany: {"n"}, SayOneWord: {"cues"}, SayWords: {"cues", "n"}, SayUnnamed: nil,
	SayThree: nil, SayTwo: nil, SayOne: nil, SayFire: nil, SayStop: nil, SayAllClear: nil,
}

// Say is a phrase with its parts put in: pairs of a name and a text.
func (w CallWords) Say(name string, parts ...string) string {
	if w.say == nil {
		w = english()
	}
	text := w.say[name]
	for i := 0; i+1 < len(parts); i += 2 {
		text = strings.Replace(text, "{"+parts[i]+"}", parts[i+1], 1)
	}
	return text
}

// Spoken is what a voice is given to read for a text.
func (w CallWords) Spoken(text string) string {
	if w.spoken == nil {
		return text
	}
	return strings.Join(strings.Fields(Clean(w.spoken.Replace(text))), " ")
}

// VoiceName is the voice that speaks the words, as espeak-ng names it.
func (w CallWords) VoiceName() string {
	if w.Voice == "" {
		return english().Voice
	}
	return w.Voice
}

// Files are the files of the show folder that the calls are made from: the own
// phrases and the recordings.
func (c Calls) Files() []string {
	var files []string
	if c.File != "" {
		files = append(files, c.File)
	}
	for _, text := range slices.Sorted(maps.Keys(c.Words.Recorded)) {
		if file := c.Words.Recorded[text]; !slices.Contains(files, file) {
			files = append(files, file)
		}
	}
	return files
}

//go:embed languages
var languageFiles embed.FS

// Languages are those that come along, by their codes.
var Languages = []string{"en", "cs", "de", "es", "fr", "it", "ja", "nl", "pl", "pt", "zh"}

// english are the words of a show that says nothing of its calls.
var english = sync.OnceValue(func() CallWords { return WordsOf("en") })

// WordsOf are the words of one of the Languages.
func WordsOf(language string) CallWords {
	var f finder
	w := readCallWords(languageFiles, "languages/"+language+".toml", CallWords{}, &f)
	if len(f.found) > 0 {
		panic(f.problems()) // a file of our own
	}
	return w
}

// LanguageFile is the file of phrases of one of the Languages, to be changed.
func LanguageFile(language string) []byte {
	text, err := languageFiles.ReadFile("languages/" + cmp.Or(language, "en") + ".toml")
	if err != nil {
		panic(err) // a file of our own
	}
	return text
}

// readCalls reads [calls] of show.toml and the phrases that it names.
func readCalls(top *Table, fsys fs.FS) (c Calls) {
	t := top.Sub("calls")
	defer t.Done()
	c = Calls{Language: t.Choice("language", Languages...), File: t.inside("phrases")}
	if !top.Has("calls") {
		return Calls{} // called in English
	}
	c.Words = WordsOf(c.Language)
	if c.File != "" {
		c.Words = readCallWords(fsys, c.File, c.Words, t.finder)
	}
	return c
}
