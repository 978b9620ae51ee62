package calls

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

// A drone says each phrase as a square of a length of its own, with its onset
// after a soft start.
type drone map[PhraseKind]int

func (d drone) Say(p Phrase) (Sound, error) {
	s := make([]float64, d[p.Kind])
	for i := range s {
		s[i] = 0.5
		if i < 10 {
			s[i] = 0.01
		}
	}
	return Sound{s, Onset(s)}, nil
}

func mix(marks []Mark, n int) []float64 {
	stereo := make([][2]float64, n)
	Voices(marks).MixInto(stereo, 0, [2]float64{1, 1})
	mono := make([]float64, n)
	for i, f := range stereo {
		mono[i] = f[0]
	}
	return mono
}

// phrasesAt are phrases at these milliseconds, counts and words in turn.
func phrasesAt(ms ...int) []Phrase {
	var list []Phrase
	for i, at := range ms {
		kind := Count
		if i%2 == 1 {
			kind = Word
		}
		list = append(list, Phrase{Kind: kind, At: time.Duration(at) * time.Millisecond, Text: fmt.Sprint("phrase ", i)})
	}
	return list
}

// call is what is said for a lone cue at 10 s.
func call() []Phrase {
	return []Phrase{
		{Warning, 1, 3 * time.Second, 3500 * time.Millisecond, "stand by, cue 1", ""},
		{Count, 0, 7 * time.Second, 0, "three", ""}, {Count, 0, 8 * time.Second, 0, "two", ""}, {Count, 0, 9 * time.Second, 0, "one", ""},
		{Word, 0, 10 * time.Second, 0, "fire", ""},
	}
}

// Each phrase is heard to begin on its frame, after silence, whatever the
// speaker is like and however close the phrases stand, down to 0.65 s.
func TestRenderPutsOnsetsOnTheirFrames(t *testing.T) {
	const rate = 1000
	rapid.Check(t, func(t *rapid.T) {
		var ms []int
		at := rapid.IntRange(0, 10_000).Draw(t, "first")
		for range rapid.IntRange(0, 20).Draw(t, "phrases") {
			ms = append(ms, at)
			at += rapid.IntRange(650, 3000).Draw(t, "apart")
		}
		speaker := drone{
			Count: rapid.IntRange(20, 3000).Draw(t, "count"),
			Word:  rapid.IntRange(20, 3000).Draw(t, "word"),
		}
		marks, err := Render(phrasesAt(ms...), speaker, rate)
		if err != nil {
			t.Fatal(err)
		}
		sound := mix(marks, 80*rate)
		for _, m := range marks {
			from := max(0, int(m.At)-60)
			if got := Onset(sound[from:min(int(m.At)+10, len(sound))]); from+got != int(m.At) {
				t.Fatalf("%q on frame %d is heard at %d", m.Phrase.Text, m.At, from+got)
			}
		}
	})
}

// A warning that would be cut short is not what the crew has on paper.
func TestRenderRefusesAWarningThatIsTooLong(t *testing.T) {
	for ms, want := range map[int]string{
		3500: "",
		3600: `"stand by, cue 1" takes 3.59 s to speak; wanted 3.50 s at most`,
	} {
		got := ""
		if _, err := Render(call(), drone{Warning: ms, Count: 100, Word: 100}, 1000); err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("a warning of %d ms: %q, want %q", ms, got, want)
		}
	}
}

// The rhythm of the pips, as their comment states it: heard edges against
// frames worked by hand at 48 kHz.
func TestPips(t *testing.T) {
	const rate = 48000
	marks, err := Render(call(), Pips{rate}, rate)
	if err != nil {
		t.Fatal(err)
	}
	sound := mix(marks, 12*rate)
	var edges []float64 // seconds at which sound comes or goes
	quiet, last := true, -rate
	for i, s := range sound {
		if s != 0 {
			if quiet {
				edges = append(edges, float64(i)/rate)
			}
			quiet, last = false, i
		} else if !quiet && i-last > rate/100 {
			edges, quiet = append(edges, float64(last)/rate), true
		}
	}
	want := []float64{3, 3.1, 3.25, 3.35, 7, 7.1, 8, 8.1, 9, 9.1, 10, 10.5}
	if len(edges) != len(want) {
		t.Fatalf("sound comes and goes at %v, want %v", edges, want)
	}
	for i := range want {
		if math.Abs(edges[i]-want[i]) > 0.001 {
			t.Errorf("edge at %.4f s, want %.4f", edges[i], want[i])
		}
	}
}

func TestOnset(t *testing.T) {
	for _, c := range []struct {
		samples []float64
		want    int
	}{
		{nil, -1},
		{[]float64{0, 0}, -1},
		{[]float64{0, 0.2, -0.26, 0.5}, 2},
		{[]float64{1}, 0},
	} {
		if got := Onset(c.samples); got != c.want {
			t.Errorf("%v: %d, want %d", c.samples, got, c.want)
		}
	}
}

// A real voice: its words are where they should be, and short enough to be
// counted once a second.
func TestVoice(t *testing.T) {
	reftest.Tool(t, "espeak-ng")
	const rate = 44100
	v, err := NewVoice(t.Context(), English, rate)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := Render(call(), v, rate)
	if err != nil {
		t.Fatal(err)
	}
	sound := mix(marks, 12*rate)
	for _, m := range marks {
		if m.Phrase.Kind != Warning && len(m.Sound.Samples) > 9*rate/10 {
			t.Errorf("%q takes %d ms", m.Phrase.Text, len(m.Sound.Samples)*1000/rate)
		}
		from := int(m.At) - m.Sound.Onset - rate/20
		to := int(m.At) - m.Sound.Onset + len(m.Sound.Samples)
		if got := from + Onset(sound[from:to]); got != int(m.At) {
			t.Errorf("%q on frame %d is heard at %d", m.Phrase.Text, m.At, got)
		}
	}
	word := call()[4]
	if again, err := v.Say(word); err != nil || &again.Samples[0] != &v.said[said{"fire", voiceSpeeds[0]}].Samples[0] {
		t.Errorf("the word was made a second time (%v)", err)
	}
	// A phrase with little room is spoken faster, and no faster than it must be.
	slow, err := v.Say(Phrase{Text: "stand by, cues 13 and 14 together"})
	if err != nil {
		t.Fatal(err)
	}
	fast, err := v.Say(Phrase{Text: "stand by, cues 13 and 14 together", Room: time.Duration(len(slow.Samples)-slow.Onset-rate/20) * time.Second / rate})
	if err != nil || len(fast.Samples) >= len(slow.Samples) || len(v.said) != 7 {
		t.Errorf("%d samples in haste, %d else, %d phrases made (%v)", len(fast.Samples), len(slow.Samples), len(v.said), err)
	}
}

func TestVoiceThatIsNotThere(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	if _, err := NewVoice(context.Background(), English, 44100); err != ErrNoVoice {
		t.Errorf("%v, want %v", err, ErrNoVoice)
	}
}
