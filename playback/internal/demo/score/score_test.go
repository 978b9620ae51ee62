package score

import (
	"math"
	"slices"
	"testing"
	"time"

	"drylane/show/timebase"
)

// The starts were added up by hand: quick bars last 1.6 s, slow ones 2.88 s.
func TestSectionsStart(t *testing.T) {
	want := map[string]time.Duration{
		"intro": 10 * time.Second, "theme": 22800 * time.Millisecond, "build": 48400 * time.Millisecond,
		"chase": 61200 * time.Millisecond, "slow": 74 * time.Second, "return": 97040 * time.Millisecond,
		"finale": 109840 * time.Millisecond, "coda": 129040 * time.Millisecond,
	}
	if len(form) != len(want) {
		t.Fatalf("there are %d sections, want %d", len(form), len(want))
	}
	for _, sec := range form {
		if got := sec.at(0, 0).At(Rate); got != want[sec.name] {
			t.Errorf("%s starts at %v, want %v", sec.name, got, want[sec.name])
		}
	}
}

// A cue list states times in thousandths of a second: every step must be one.
func TestStepsAreWholeMilliseconds(t *testing.T) {
	for _, sec := range form {
		for step := range sec.bars * steps {
			at := sec.at(0, step)
			if d := at.At(Rate); d%time.Millisecond != 0 || timebase.FrameAt(d, Rate) != at {
				t.Fatalf("step %d of %s is at %v", step, sec.name, d)
			}
		}
	}
}

func TestTunesFillTheirBars(t *testing.T) {
	tests := []struct {
		name string
		tune []tone
		bars int
	}{
		{"first theme", themeFirst, 8}, {"second theme", themeSecond, 8}, {"slow", slowTune, 8},
		{"return", returnTune, 8}, {"finale", finaleTune, 12},
	}
	for _, tt := range tests {
		sum := 0
		for _, n := range tt.tune {
			sum += n.length
			if sum%steps != 0 && sum%steps < n.length {
				t.Errorf("%s: a tone of %d steps crosses the bar line at step %d", tt.name, n.length, sum)
			}
		}
		if sum != tt.bars*steps {
			t.Errorf("%s has %d steps, want %d bars of %d", tt.name, sum, tt.bars, steps)
		}
	}
}

func TestHarmoniesFillTheirSections(t *testing.T) {
	tests := []struct {
		section section
		chords  []chord
	}{
		{intro, introChords}, {theme, themeChords}, {build, buildChords}, {chase, chaseChords},
		{middle, slowChords}, {again, returnChords}, {finale, finaleChords},
	}
	for _, tt := range tests {
		if len(tt.chords) != tt.section.bars {
			t.Errorf("%s has %d chords, want one for each of its %d bars", tt.section.name, len(tt.chords), tt.section.bars)
		}
	}
}

// Every accent is the start of something that sounds, inside the piece, once.
func TestAccentsSound(t *testing.T) {
	s := Compose()
	onsets := s.Onsets()
	if !slices.IsSorted(onsets) || len(slices.Compact(slices.Clone(onsets))) != len(onsets) {
		t.Error("the onsets are not in order or not different")
	}
	last := timebase.Frame(-1)
	for _, a := range s.Accents {
		if a.At <= last {
			t.Errorf("the accent at %v comes twice or out of order", a.At.At(Rate))
		}
		if _, ok := slices.BinarySearch(onsets, a.At); !ok {
			t.Errorf("nothing starts at the accent at %v", a.At.At(Rate))
		}
		if a.At >= s.Length {
			t.Errorf("the accent at %v is past the end", a.At.At(Rate))
		}
		last = a.At
	}
	if len(s.Accents) < 150 {
		t.Errorf("there are %d accents, want 150 or more", len(s.Accents))
	}
}

// A late cue can be told only where nothing else starts near it: 0.3 s after an
// accent of the sections that the tune is in, there is silence for 50 ms around.
func TestNothingStartsLate(t *testing.T) {
	s := Compose()
	onsets := s.Onsets()
	for _, a := range s.Accents {
		if a.Section != "intro" && a.Section != "theme" && a.Section != "return" && a.Section != "slow" {
			continue
		}
		late := a.At + timebase.FrameAt(300*time.Millisecond, Rate)
		i, _ := slices.BinarySearch(onsets, late-Rate/20)
		if i < len(onsets) && onsets[i] <= late+Rate/20 && !rolled(a) {
			t.Errorf("%s bar %d step %d: %v starts within 50 ms of 0.3 s after it", a.Section, a.Bar, a.Step, onsets[i].At(Rate))
		}
	}
}

// rolled tells the last bar of the return, which has a roll in it.
func rolled(a Accent) bool { return a.Section == "return" && a.Bar == 7 }

// ISO 16 sets the A at 440 Hz; the others are published in every table of equal
// temperament.
func TestPitch(t *testing.T) {
	for p, want := range map[pitch]float64{a4: 440, a6: 1760, 60: 261.6256, 38: 73.4162, fs5: 739.9888, ef6: 1244.5079} {
		if got := p.hz(); math.Abs(got-want) > 1e-3 {
			t.Errorf("pitch %d is %.4f Hz, want %.4f", p, got, want)
		}
	}
}

// Two renderings of the first twelve seconds are the same to the bit, and lie
// on 16-bit steps.
func TestRenderIsDeterministic(t *testing.T) {
	s := Compose()
	s.Length = 12 * Rate
	a, b := s.Render(), s.Render()
	if !slices.Equal(a, b) {
		t.Fatal("two renderings differ")
	}
	for i, f := range a {
		for _, x := range f {
			if k := x * 32768; k != math.Trunc(k) || k < -32768 || k > 32767 {
				t.Fatalf("frame %d has a sample of %v, which 16 bits cannot hold", i, x)
			}
		}
	}
}

func BenchmarkRender(b *testing.B) {
	s := Compose()
	for b.Loop() {
		s.Render()
	}
	b.ReportMetric(float64(length)*float64(b.N)/b.Elapsed().Seconds(), "x_real_time")
}
