package calls

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"drylane/show/timebase"
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

// Each phrase is heard to begin on its frame, after silence, whatever the
// speaker is like and however close the cues stand.
func TestRenderPutsOnsetsOnTheirFrames(t *testing.T) {
	const rate = 1000
	rapid.Check(t, func(t *rapid.T) {
		var cues []Firing
		for i, ms := range rapid.SliceOfN(rapid.IntRange(0, 40_000), 0, 20).Draw(t, "ms") {
			cues = append(cues, Firing{fmt.Sprint(i), time.Duration(ms) * time.Millisecond})
		}
		speaker := drone{
			Warning: rapid.IntRange(20, 9000).Draw(t, "warning"),
			Count:   rapid.IntRange(20, 3000).Draw(t, "count"),
			Word:    rapid.IntRange(20, 3000).Draw(t, "word"),
		}
		marks, err := Render(Plan(cues), speaker, rate)
		if err != nil {
			t.Fatal(err)
		}
		sound := mix(marks, 50*rate)
		for _, m := range marks {
			from := max(0, int(m.At)-60)
			if got := Onset(sound[from:min(int(m.At)+10, len(sound))]); from+got != int(m.At) {
				t.Fatalf("%q on frame %d is heard at %d", m.Phrase.Text, m.At, from+got)
			}
		}
	})
}

func TestRenderFallsBackToAShorterWarning(t *testing.T) {
	cues := at(10, 11, 13, 15, 17)
	for length, want := range map[time.Duration]string{
		time.Second:     "cues 1 to 5, on my count",
		5 * time.Second: "next 5 cues",
	} {
		marks, err := Render(Plan(cues), drone{Warning: int(length.Milliseconds()), Count: 100, Word: 100}, 1000)
		if err != nil || marks[0].Phrase.Text != want || marks[0].At != 3000 {
			t.Errorf("a warning of %s: %q at %d, %v; want %q at 3000", length, marks[0].Phrase.Text, marks[0].At, err, want)
		}
	}
}

// The rhythm of the pips, as their comment states it: heard edges against
// frames worked by hand at 48 kHz.
func TestPips(t *testing.T) {
	const rate = 48000
	marks, err := Render(Plan(at(10)), Pips{rate}, rate)
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
	v, err := NewVoice(t.Context(), rate)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := Render(Plan(at(10, 12, 30)), v, rate)
	if err != nil {
		t.Fatal(err)
	}
	sound := mix(marks, 32*rate)
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
	if marks[0].Phrase.Text != "cues 1 and 2, on my count" || marks[4].At != timebase.Frame(10*rate) {
		t.Errorf("the first warning is %q, the first word on frame %d", marks[0].Phrase.Text, marks[4].At)
	}
	if again, err := v.Say(wordPhrase()); err != nil || &again.Samples[0] != &v.said[wordText].Samples[0] {
		t.Errorf("the word was made a second time (%v)", err)
	}
}

func TestVoiceThatIsNotThere(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	if _, err := NewVoice(context.Background(), 44100); err != ErrNoVoice {
		t.Errorf("%v, want %v", err, ErrNoVoice)
	}
}
