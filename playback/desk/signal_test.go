package desk

import (
	"context"
	"math"
	"math/cmplx"
	"os/exec"
	"regexp"
	"strconv"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/loudness"
	"drylane/show/timebase"
	"drylane/testdata/reftest"

	"gonum.org/v1/gonum/dsp/fourier"
)

var rates = []int{22050, 44100, 48000, 96000}

func side(frames [][2]float64, ch int) []float64 {
	s := make([]float64, len(frames))
	for i, f := range frames {
		s[i] = f[ch]
	}
	return s
}

// power returns the mean square of s between two frequencies.
func power(s []float64, rate int, low, high float64) float64 {
	sum := 0.0
	for k, c := range fourier.NewFFT(len(s)).Coefficients(nil, s) {
		if hz := float64(k) * float64(rate) / float64(len(s)); hz >= low && hz < high {
			sum += 2 * cmplx.Abs(c) * cmplx.Abs(c)
		}
	}
	return sum / float64(len(s)) / float64(len(s))
}

func db(power float64) float64 { return 10 * math.Log10(power) }

func TestNoSignalPassesFullScaleAtItsTop(t *testing.T) {
	for _, rate := range rates {
		for s := range SignalCount {
			p := peakOf(s.Loop(rate))
			if got := max(p[0], p[1]) * s.Top().Factor(); got > 1+1e-9 || got < 0.3 && s.Top() == 0 {
				t.Errorf("%s at %d Hz peaks at %.3f of full scale", s.Title(), rate, got)
			}
		}
	}
}

// A full-scale sine has a power of a half; all of the tone lies at 1 kHz.
func TestToneIsPureAndLoops(t *testing.T) {
	for _, rate := range rates {
		l := side(Tone.Loop(rate), 0)
		if at, all := power(l, rate, 999.5, 1000.5), power(l, rate, 0, float64(rate)); math.Abs(at-0.5) > 1e-9 || all-at > 1e-12 {
			t.Errorf("at %d Hz: power %.12f at 1 kHz, %.3g elsewhere; want 0.5 and none", rate, at, all-at)
		}
	}
}

// Each side's pips leave the other silent to the last bit, and differ in pitch
// and in number.
func TestPipsKeepToTheirSide(t *testing.T) {
	for _, rate := range rates {
		for _, tt := range []struct {
			s      Signal
			on     int
			low    float64
			sounds []time.Duration
			silent []time.Duration
		}{
			{PipsLeft, 0, 440, []time.Duration{150e6}, []time.Duration{350e6, 500e6, 900e6}},
			{PipsRight, 1, 1760, []time.Duration{50e6, 250e6}, []time.Duration{150e6, 400e6, 900e6}},
		} {
			frames := tt.s.Loop(rate)
			if len(frames) != rate {
				t.Errorf("%s turns in %d frames, want a second", tt.s.Title(), len(frames))
			}
			if p := peakOf(frames)[1-tt.on]; p != 0 {
				t.Errorf("%s at %d Hz: %g on the other side", tt.s.Title(), rate, p)
			}
			if in, all := power(side(frames, tt.on), rate, tt.low-60, tt.low+60), power(side(frames, tt.on), rate, 0, float64(rate)); in < 0.95*all {
				t.Errorf("%s at %d Hz: %.2f of its power near %g Hz", tt.s.Title(), rate, in/all, tt.low)
			}
			window := func(at time.Duration) float64 {
				i := count(at, rate)
				return peakOf(frames[i : i+rate/100])[tt.on]
			}
			for _, at := range tt.sounds {
				if window(at) < 0.9 {
					t.Errorf("%s is silent at %v", tt.s.Title(), at)
				}
			}
			for _, at := range tt.silent {
				if window(at) != 0 {
					t.Errorf("%s sounds at %v", tt.s.Title(), at)
				}
			}
		}
	}
}

// What the screen says sounds now is what sounds.
func TestWordsFollowTheSound(t *testing.T) {
	const rate = 48000
	for _, s := range []Signal{PipsTurns, Polarity} {
		frames := s.Loop(rate)
		for i, f := range frames {
			if f[0] == 0 && f[1] == 0 {
				continue
			}
			want := "LEFT now"
			switch {
			case s == PipsTurns && f[1] != 0:
				want = "RIGHT now"
			case s == Polarity && f[0] == f[1]:
				want = "IN PHASE now"
			case s == Polarity && f[0] == -f[1]:
				want = "OUT OF PHASE now"
			}
			at := timebase.Frame(i).At(rate) + 7*timebase.Frame(len(frames)).At(rate)
			if got := s.Now(at); got != want {
				t.Fatalf("%s: frame %d sounds as %q and is called %q", s.Title(), i, want, got)
			}
		}
	}
}

func TestPolarityNoiseKeepsToItsBand(t *testing.T) {
	for _, rate := range rates {
		s := bandNoise(rate, count(phaseTurn, rate))
		in, all := power(s, rate, phaseLow, phaseHigh), power(s, rate, 0, float64(rate))
		if math.Abs(in-0.5) > 1e-6 || all-in > 1e-9 {
			t.Errorf("at %d Hz: power %.6f in the band, %.3g outside; want that of a full-scale sine and none", rate, in, all-in)
		}
	}
}

// Pink noise has the same power in every octave (its definition); the seam of
// the loop is no exception.
func TestPinkNoiseHasEqualOctaves(t *testing.T) {
	for _, rate := range rates {
		s := side(Pink.Loop(rate), 0)
		half := len(s) / 2
		s = append(append([]float64{}, s[half:]...), s[:half]...) // the seam in the middle
		first := power(s, rate, 62.5, 125)
		for low := 125.0; low*2 <= min(16000, float64(rate)/4); low *= 2 {
			if d := db(power(s, rate, low, 2*low) / first); math.Abs(d) > 1 {
				t.Errorf("at %d Hz the octave from %g Hz is %.2f dB off", rate, low, d)
			}
		}
		rough := 0.0 // a step at the seam would stand out among the differences
		for i := 1; i < len(s); i++ {
			rough = max(rough, math.Abs(s[i]-s[i-1]))
		}
		for i := half - 5; i < half+5; i++ {
			if d := math.Abs(s[i] - s[i-1]); d > 0.9*rough {
				t.Errorf("at %d Hz there is a step of %.3f at the seam; the largest is %.3f", rate, d, rough)
			}
		}
	}
}

// TestToneLevel: a 1 kHz sine on both sides at -18 dBFS peak reads -18.0 LUFS
// (EBU Tech 3341, section 2.9), and sox reads the same peak and frequency.
func TestToneLevel(t *testing.T) {
	path, frames := intoWAV(t, Source{Signal: Tone}, 48000, 4*time.Second, 0, Halves(-18))
	if len(frames) != 4*48000 {
		t.Fatalf("%d frames, want %d", len(frames), 4*48000)
	}
	m, err := playback.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	r, err := loudness.Measure(context.Background(), m, 48000, 2, loudness.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := float64(r.Integrated); math.Abs(got+18) > 0.1 {
		t.Errorf("the tone reads %.2f LUFS, want -18.0", got)
	}
	sox := reftest.Tool(t, "sox")
	stats, err := exec.Command(sox, path, "-n", "trim", "1", "2", "stats").CombinedOutput()
	if err != nil {
		t.Fatalf("sox: %v: %s", err, stats)
	}
	if got := figure(t, stats, `Pk lev dB\s+(\S+)`); math.Abs(got+18) > 0.05 {
		t.Errorf("sox reads a peak of %.2f dBFS, want -18", got)
	}
	stat, err := exec.Command(sox, path, "-n", "remix", "1", "trim", "1", "2", "stat").CombinedOutput()
	if err != nil {
		t.Fatalf("sox: %v: %s", err, stat)
	}
	if got := figure(t, stat, `Rough\s+frequency:\s+(\S+)`); math.Abs(got-1000) > 2 {
		t.Errorf("sox reads %.0f Hz, want 1000", got)
	}
}

// figure returns the first number that re finds.
func figure(t *testing.T, text []byte, re string) float64 {
	t.Helper()
	m := regexp.MustCompile(re).FindSubmatch(text)
	if m == nil {
		t.Fatalf("no %s in: %s", re, text)
	}
	v, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestPolarityIsExactInAFile: what reaches a file is the same noise, turned
// over to the last bit of the 16.
func TestPolarityIsExactInAFile(t *testing.T) {
	const rate = 44100
	_, frames := intoWAV(t, Source{Signal: Polarity}, rate, 4500*time.Millisecond, 0, Halves(-18))
	half := count(phaseTurn+phaseGap, rate)
	settled := count(startRamp, rate)
	if len(frames) != 2*half {
		t.Fatalf("%d frames, want a turn of %d", len(frames), 2*half)
	}
	loudest := 0.0
	for i := settled; i < half; i++ {
		in, out := frames[i], frames[half+i]
		if in[0] != in[1] || out[0] != -out[1] || out[0] != in[0] {
			t.Fatalf("frame %d: in phase %v, out of phase %v", i, in, out)
		}
		loudest = max(loudest, in[0])
	}
	if loudest < 0.1 {
		t.Errorf("the noise peaks at %.3f: too quiet to have been tested", loudest)
	}
}

func TestSidesInAFile(t *testing.T) {
	for s, ch := range map[Signal]int{PipsLeft: 0, PipsRight: 1} {
		_, frames := intoWAV(t, Source{Signal: s}, 44100, 2*time.Second, 0, Halves(-18))
		p := peakOf(frames)
		if p[1-ch] != 0 || math.Abs(20*math.Log10(p[ch])+18) > 0.1 {
			t.Errorf("%s: peaks %v; want -18 dBFS on its side and nothing on the other", s.Title(), p)
		}
	}
}
