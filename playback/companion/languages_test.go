package companion

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"drylane/playback/calls"
	"drylane/playback/wavtest"
	"drylane/show"
	"drylane/show/callplan"
	"drylane/testdata/reftest"
)

// calledIn is a show with every kind of call, in a language: cues on their own,
// followed closely, in groups, with large numbers, and too many to name.
func calledIn(language string) *show.Show {
	s := &show.Show{Positions: []show.Position{{Name: "Beacon", HandFired: true}}}
	s.Calls.Words = show.WordsOf(language)
	at, id := 15*time.Second, 7
	for _, ms := range []int{0, 20000, 100, 20000, 500, 20000, 3000, 20000, 100, 500, 3000, 20000, 3000, 3000, 3000, 3000, 20000, 100, 100, 100, 100, 100, 9000, 9000, 500, 12000, 12000} {
		at += time.Duration(ms) * time.Millisecond
		s.Cues = append(s.Cues, show.Cue{ID: fmt.Sprint(id), Position: "Beacon", EffectAt: at})
		id = id*7/6 + 3
	}
	return s
}

// TestEveryLanguage: in each language every phrase is made, sets in on its frame
// and is over within the time that the plan has for it.
func TestEveryLanguage(t *testing.T) {
	reftest.Tool(t, "espeak-ng")
	const rate = 8000
	for i, language := range show.Languages {
		if testing.Short() && i%5 > 0 { // each phrase is spoken by a program of its own
			continue
		}
		t.Run(language, func(t *testing.T) {
			s := calledIn(language)
			voice, err := calls.NewVoice(t.Context(), s.Calls.Words.VoiceName(), rate)
			if err != nil {
				t.Fatal(err)
			}
			list := phrases(callplan.Of(s, "Beacon"), s.Calls.Words)
			for _, name := range []string{show.SayStop, show.SayAllClear, show.SayUnnamed} {
				text := s.Calls.Words.Say(name)
				list = append(list, calls.Phrase{Text: text, Spoken: s.Calls.Words.Spoken(text), Room: 2 * time.Second})
			}
			for _, p := range list {
				sound, err := voice.Say(p)
				if err != nil {
					t.Fatal(err)
				}
				took := time.Duration(len(sound.Samples)-sound.Onset) * time.Second / rate
				if took > p.Room || took < 50*time.Millisecond || strings.ContainsAny(p.Text, "{}") {
					t.Errorf("%q takes %s, and the plan has %s", p.Text, took, p.Room)
				}
			}
			if _, err := calls.Render(phrases(callplan.Of(s, "Beacon"), s.Calls.Words), voice, rate); err != nil {
				t.Error(err)
			}
		})
	}
}

// firstSyllable is the start of a word as a voice speaks it, up to its first
// vowel.
func firstSyllable(t *testing.T, w show.CallWords, text string) string {
	t.Helper()
	out, err := exec.Command(reftest.Tool(t, "espeak-ng"), "-v", w.VoiceName(), "-q", "--ipa", w.Spoken(text)).Output()
	if err != nil {
		t.Fatal(err)
	}
	var syllable strings.Builder
	for _, r := range strings.TrimSpace(string(out)) {
		if strings.ContainsRune("ˈˌ", r) {
			continue
		}
		syllable.WriteRune(r)
		if strings.ContainsRune("aeiouyøœɔɒɑäæəɛɪʊʌ", r) {
			break
		}
	}
	return syllable.String()
}

// TestStopIsNotFire: the words to fire and to stop differ in their first
// syllable, and no two of the count are one word.
func TestStopIsNotFire(t *testing.T) {
	for _, language := range show.Languages {
		w := show.WordsOf(language)
		fire, stop := firstSyllable(t, w, w.Say(show.SayFire)), firstSyllable(t, w, w.Say(show.SayStop))
		if fire == stop || fire == "" || stop == "" || !unicode.IsLetter([]rune(fire)[0]) {
			t.Errorf("%s: to fire begins with %q and to stop with %q", language, fire, stop)
		}
		seen := map[string]bool{}
		for _, name := range []string{show.SayThree, show.SayTwo, show.SayOne, show.SayFire, show.SayStop} {
			if text := w.Say(name); seen[text] {
				t.Errorf("%s: %q is said twice", language, text)
			} else {
				seen[text] = true
			}
		}
	}
}

// TestRecordedPhrase: a recording of the show folder is on the track in place of
// the phrase that it is named for, with its onset on the word, and one that is
// too long is refused.
func TestRecordedPhrase(t *testing.T) {
	reftest.Tool(t, "espeak-ng")
	dir := trackShow(t, "silence", "calls Right")
	toml, err := os.ReadFile(filepath.Join(dir, "show.toml"))
	if err != nil {
		t.Fatal(err)
	}
	const phrases = "[say]\nfire = \"los\"\n[recorded]\nlos = \"los.wav\"\n"
	for name, text := range map[string]string{
		"show.toml": string(toml) + "\n[calls]\nlanguage = \"de\"\nphrases = \"calls.toml\"\n", "calls.toml": phrases,
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	record := func(length int) {
		// Half of it is silence, the rest a tone of 441 Hz.
		frames := make([][2]float64, 2*length)
		for i := range length {
			v := 0.3 * math.Sin(2*math.Pi*float64(i)/100)
			frames[length+i] = [2]float64{v, v}
		}
		wavtest.Write(t, filepath.Join(dir, "los.wav"), 44100, 1, frames)
	}
	record(13230) // 0.3 s
	to, _, _, err := runTracks(t.Context(), t, dir)
	if err != nil {
		t.Fatal(err)
	}
	mono, rate := samples(t, filepath.Join(to, "out.wav"), 1)
	word := mono[10*rate : 10*rate+rate/4] // the first cue there ignites at 10 s
	turns := 0
	for i, v := range word[1:] {
		if (v >= 0) != (word[i] >= 0) {
			turns++
		}
	}
	if want := 441 / 2; turns < want-2 || turns > want+2 {
		t.Errorf("the word passes zero %d times in 0.25 s, want %d of a tone of 441 Hz", turns, want)
	}
	record(44100)
	if _, _, _, err := runTracks(t.Context(), t, dir); err == nil || !strings.Contains(err.Error(), `"los" takes 1.00 s to speak; wanted 0.65 s at most`) {
		t.Errorf("%v, want that the recording is too long", err)
	}
	if err := os.Remove(filepath.Join(dir, "los.wav")); err != nil {
		t.Fatal(err)
	}
	if _, _, _, err := runTracks(t.Context(), t, dir); err == nil || !strings.Contains(err.Error(), `los.wav, the recording of "los": `) {
		t.Errorf("%v, want the recording that is not there", err)
	}
}
