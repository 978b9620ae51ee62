package synth_test

import (
	"math"
	"testing"

	"drylane/playback/synth"

	"pgregory.net/rapid"
)

// At any rate a bang starts at once, peaks at 1, ends in silence and lasts no
// more than 0.4 s.
func TestReportAtAnyRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.IntRange(16000, 192000).Draw(t, "rate")
		kind := synth.Kind(rapid.Uint8().Draw(t, "kind"))
		s := synth.Bang(kind, rate)
		if len(s) == 0 || len(s)*10 > rate*4 {
			t.Fatalf("%d frames at %d", len(s), rate)
		}
		if s[0] < 0.4 || math.Abs(peak(s)-1) > 1e-12 || math.Abs(s[len(s)-1]) > 1e-3 {
			t.Fatalf("starts at %v, peaks at %v, ends at %v", s[0], peak(s), s[len(s)-1])
		}
	})
}

// Rates that no soundtrack has give something finite and no panic.
func TestSoundsAtOddRates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.IntRange(-10, 8000).Draw(t, "rate")
		sounds := map[string][]float64{
			"bang":  synth.Bang(synth.Kind(rapid.Uint8().Draw(t, "kind")), rate),
			"click": synth.Click(rate),
			"tone":  synth.Tone(440, rate, 1000),
			"noise": synth.PinkNoise(1, rate, 1000),
		}
		for name, s := range sounds {
			for i, x := range s {
				if math.IsNaN(x) || math.Abs(x) > 1.0001 {
					t.Fatalf("%s at %d: sample %d is %v", name, rate, i, x)
				}
			}
		}
	})
}

// A tone has the length asked for, stays under its level and begins and ends
// softly, whatever its length.
func TestToneOfAnyLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.IntRange(16000, 192000).Draw(t, "rate")
		freq := rapid.Float64Range(20, 7000).Draw(t, "freq")
		n := rapid.IntRange(0, 20000).Draw(t, "n")
		s := synth.Tone(freq, rate, n)
		if len(s) != n {
			t.Fatalf("%d frames, want %d", len(s), n)
		}
		// -18 dBFS is 0.12589 of full scale.
		if peak(s) > 0.1259 {
			t.Fatalf("peak %v, want 0.1259 at most", peak(s))
		}
		if n > 200 && math.Abs(s[n-1]) > 0.01 {
			t.Fatalf("ends at %v, want a soft end", s[n-1])
		}
	})
}
