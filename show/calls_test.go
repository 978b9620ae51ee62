package show

import (
	"strings"
	"testing"
	"testing/fstest"
)

// folderWith is a show folder whose show.toml ends in these lines, and a file of
// phrases.
func folderWith(calls, phrases string) fstest.MapFS {
	return fstest.MapFS{
		"show.toml":  {Data: []byte("title = \"T\"\ncues = \"cues.csv\"\n[soundtrack]\nfile = \"m.wav\"\n" + calls)},
		"cues.csv":   {Data: []byte("cue,effect_at,position,effect\n1,10,A,comet\n")},
		"calls.toml": {Data: []byte(phrases)},
	}
}

// TestCallWords: the words of a show are those of its language, with its own laid
// over them.
func TestCallWords(t *testing.T) {
	for _, c := range []struct{ name, calls, phrases, fire, cue, voice, spoken string }{
		{"nothing said", "", "", "fire", "cue 7", "en", "fire"},
		{"a language", "[calls]\nlanguage = \"de\"\n", "", "Feuer", "Nummer 7", "de", "Feuer"},
		{"own words", "[calls]\nlanguage = \"de\"\nphrases = \"calls.toml\"\n", "voice = \"en-us\"\n[say]\nfire = \"los\"\n", "los", "Nummer 7", "en-us", "los"},
		{"own sounds", "[calls]\nphrases = \"calls.toml\"\n", "[spoken]\n\"fire\" = \"fayer\"\n\"f\" = \"x\"\n", "fire", "cue 7", "en", "fayer"},
	} {
		s, err := Load(folderWith(c.calls, c.phrases))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		w := s.Calls.Words
		fire := w.Say(SayFire)
		if fire != c.fire || w.Say(SayCue, "id", "7") != c.cue || w.VoiceName() != c.voice || w.Spoken(fire) != c.spoken {
			t.Errorf("%s: %q, %q, %q, spoken %q", c.name, fire, w.Say(SayCue, "id", "7"), w.VoiceName(), w.Spoken(fire))
		}
	}
}

// TestCallProblems: what is wrong with phrases is told with its place.
func TestCallProblems(t *testing.T) {
	const own = "[calls]\nphrases = \"calls.toml\"\n"
	for _, c := range []struct{ calls, phrases, want string }{
		{"[calls]\nlanguage = \"dee\"\n", "", `show.toml:6:1: found "dee" as language; wanted one of en, cs, de`},
		{"[calls]\nphrases = \"../calls.toml\"\n", "", "wanted a path inside the show folder"},
		{"[calls]\nphrases = \"none.toml\"\n", "", "none.toml: found no such file"},
		{own, "[say]\ncue = \"number\"\n", `calls.toml:2:1: found "number" without {id} as cue; wanted it where that is said`},
		{own, "[say]\nfire = \"fire {id}\"\n", `found "fire {id}" with braces or quotes that are nothing here as fire; wanted none of them in it`},
		{own, "[say]\nfier = \"fire\"\n", `found the unknown key "fier" under [say]; wanted one of `},
		{own, "voice = \"-f/etc/passwd\"\n", "as voice; wanted the name of a voice, such as de or fr-fr"},
		{own, "pace = 9\n", "as pace; wanted 0.5 to 3"},
		{own, "[recorded]\nfire = \"/fire.wav\"\n", "wanted a path inside the show folder"},
	} {
		_, err := Load(folderWith(c.calls, c.phrases))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s%s%v\nwant %s", c.calls, c.phrases, err, c.want)
		}
	}
}

func TestCallFiles(t *testing.T) {
	s, err := Load(folderWith("[calls]\nphrases = \"calls.toml\"\n", "[recorded]\nfire = \"voice/fire.wav\"\none = \"voice/one.wav\"\n\"stand by, cue 1\" = \"voice/fire.wav\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(s.Calls.Files(), " "); got != "calls.toml voice/fire.wav voice/one.wav" {
		t.Error(got)
	}
}

// TestLanguagesAreWhole: each that comes along has every phrase, and a voice.
func TestLanguagesAreWhole(t *testing.T) {
	files, err := languageFiles.ReadDir("languages")
	if err != nil || len(files) != len(Languages) {
		t.Fatalf("%d files for %d languages (%v)", len(files), len(Languages), err)
	}
	for _, l := range Languages {
		w := WordsOf(l)
		for name := range putIn {
			if w.Say(name) == "" || w.Voice == "" {
				t.Errorf("%s: %q for %s, voice %q", l, w.Say(name), name, w.Voice)
			}
		}
	}
}

func FuzzCallWords(f *testing.F) {
	for _, l := range Languages {
		text, err := languageFiles.ReadFile("languages/" + l + ".toml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte("[say]\nfire = \"{\"\n[spoken]\n\"\" = \"x\"\n[recorded]\nx = 3\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		var found finder
		w := readCallWords(fstest.MapFS{"calls.toml": {Data: text}}, "calls.toml", WordsOf("en"), &found)
		for name := range putIn {
			if text := w.Say(name); text == "" || Clean(text) != text || strings.Contains(w.Spoken(text), "\n") {
				t.Errorf("%s: %q", name, text)
			}
		}
		for _, file := range w.Recorded {
			if pathWanted(file) != "" {
				t.Errorf("%q leads out of the folder", file)
			}
		}
	})
}
