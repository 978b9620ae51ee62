package synth_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"drylane/playback/synth"

	"gonum.org/v1/gonum/dsp/fourier"
)

var rates = []int{22050, 24000, 32000, 44100, 48000, 88200, 96000}

func kinds() []synth.Kind {
	all := make([]synth.Kind, synth.KindCount)
	for i := range all {
		all[i] = synth.Kind(i)
	}
	return all
}

func TestReportShape(t *testing.T) {
	for _, rate := range rates {
		for _, kind := range kinds() {
			s := synth.Bang(kind, rate)
			name := fmt.Sprintf("%v at %d", kind, rate)
			if ms := 1000 * len(s) / rate; ms < 59 || ms > 400 {
				t.Errorf("%s lasts %d ms, want 60..400", name, ms)
			}
			if p := peak(s); p != 1 {
				t.Errorf("%s has its peak at %v, want 1", name, p)
			}
			if s[0] < 0.4 {
				t.Errorf("%s starts at %.3f, want an attack of 0.4 or more", name, s[0])
			}
			if m := mean(s); math.Abs(m) > 1e-4 {
				t.Errorf("%s has a mean of %g, want 0", name, m)
			}
			if end := peak(s[len(s)-rate/1000:]); end > 0.05 {
				t.Errorf("%s ends at %.3f, want silence", name, end)
			}
			if !slices.Equal(s, synth.Bang(kind, rate)) {
				t.Errorf("%s differs from one call to the next", name)
			}
		}
	}
}

// A bang must be told from the others by its colour. The order is from dull
// to bright; neighbours are at least a musical third (5:4) apart.
func TestReportColours(t *testing.T) {
	order := []synth.Kind{synth.Mine, synth.Shell, synth.Flame, synth.Other, synth.Candle, synth.Cake, synth.Salute, synth.Comet, synth.Fountain}
	for _, rate := range rates {
		last := 0.0
		for _, kind := range order {
			c := centroid(synth.Bang(kind, rate), rate)
			if c < last*5/4 {
				t.Errorf("at %d the centre of %v is at %.0f Hz, want it a third or more above %.0f Hz", rate, kind, c, last)
			}
			last = c
		}
	}
}

// A bang may not change its loudness with the rate of the soundtrack.
func TestReportLoudnessAcrossRates(t *testing.T) {
	for _, kind := range kinds() {
		want := decibel(energy(synth.Bang(kind, 44100), 44100))
		for _, rate := range rates {
			if got := decibel(energy(synth.Bang(kind, rate), rate)); math.Abs(got-want) > 3 {
				t.Errorf("%v has %.1f dB at %d and %.1f dB at 44100, want them within 3 dB", kind, got, rate, want)
			}
		}
	}
}

func TestReportOddArguments(t *testing.T) {
	if s := synth.Bang(synth.Shell, 0); s != nil {
		t.Errorf("a rate of 0 gives %d frames, want none", len(s))
	}
	if !slices.Equal(synth.Bang(200, 44100), synth.Bang(synth.Other, 44100)) {
		t.Error("an unknown kind does not sound as other")
	}
	for _, kind := range kinds() {
		for _, x := range synth.Bang(kind, 8000) {
			if math.IsNaN(x) || math.Abs(x) > 1 {
				t.Fatalf("%v at 8000 has a sample of %v", kind, x)
			}
		}
	}
}

func TestTone(t *testing.T) {
	for _, rate := range rates {
		s := synth.Tone(1000, rate, rate)
		if len(s) != rate {
			t.Fatalf("got %d frames, want %d", len(s), rate)
		}
		// -18 dBFS is 0.1259 of full scale, and a sine's root mean square is
		// 3.01 dB below its peak (textbook).
		if p := decibel(peak(s) * peak(s)); math.Abs(p+18) > 0.1 {
			t.Errorf("at %d the peak is %.2f dBFS, want -18", rate, p)
		}
		middle := s[rate/4 : 3*rate/4]
		if rms := decibel(energy(middle, rate) / 0.5); math.Abs(rms+21.01) > 0.01 {
			t.Errorf("at %d the root mean square is %.2f dB, want -21.01", rate, rms)
		}
		if c := centroid(s, rate); math.Abs(c-1000) > 1 {
			t.Errorf("at %d the tone is at %.1f Hz, want 1000", rate, c)
		}
		if s[0] != 0 || math.Abs(s[len(s)-1]) > 1e-4 {
			t.Errorf("at %d the edges are at %g and %g, want silence", rate, s[0], s[len(s)-1])
		}
	}
	if s := synth.Tone(1000, 48000, -1); len(s) != 0 {
		t.Errorf("a negative length gives %d frames, want none", len(s))
	}
}

// Pink noise has the same power in each octave (definition, IEC 60268-1).
func TestPinkNoise(t *testing.T) {
	for _, rate := range []int{22050, 44100, 96000} {
		s := synth.PinkNoise(1, rate, 1<<20)
		if rms := decibel(2 * energy(s, rate) * float64(rate) / float64(len(s))); math.Abs(rms-synth.NoiseLevel) > 0.05 {
			t.Errorf("at %d the level is %.2f dBFS, want %v", rate, rms, synth.NoiseLevel)
		}
		if p := peak(s); p > 0.9 {
			t.Errorf("at %d the peak is %.2f, want no clipping", rate, p)
		}
		powers := spectrum(s)
		hz := float64(rate) / float64(len(s))
		want := decibel(band(powers, 707/hz, 1414/hz))
		for f := 31.25; f*math.Sqrt2 < float64(rate)/4; f *= 2 {
			got := decibel(band(powers, f/math.Sqrt2/hz, f*math.Sqrt2/hz))
			if math.Abs(got-want) > 0.7 {
				t.Errorf("at %d the octave at %g Hz is %+.2f dB off the one at 1 kHz", rate, f, got-want)
			}
		}
	}
	if slices.Equal(synth.PinkNoise(1, 44100, 1000), synth.PinkNoise(2, 44100, 1000)) {
		t.Error("two seeds give the same noise")
	}
}

func TestClick(t *testing.T) {
	for _, rate := range rates {
		s := synth.Click(rate)
		if p := decibel(peak(s) * peak(s)); math.Abs(p-synth.ClickLevel) > 0.01 {
			t.Errorf("at %d the peak is %.2f dBFS, want %v", rate, p, synth.ClickLevel)
		}
		if s[0] != peak(s) {
			t.Errorf("at %d the first sample is %.3f, want the peak %.3f", rate, s[0], peak(s))
		}
		if m := mean(s); math.Abs(m) > 1e-4 {
			t.Errorf("at %d the mean is %g, want 0", rate, m)
		}
	}
}

func BenchmarkReports(b *testing.B) {
	for b.Loop() {
		for _, kind := range kinds() {
			synth.Bang(kind, 44100)
		}
	}
}

func peak(s []float64) float64 {
	p := 0.0
	for _, x := range s {
		p = max(p, math.Abs(x))
	}
	return p
}

func mean(s []float64) float64 {
	sum := 0.0
	for _, x := range s {
		sum += x
	}
	return sum / float64(len(s))
}

// energy is the sum of squares times the length of a sample in seconds.
func energy(s []float64, rate int) float64 {
	sum := 0.0
	for _, x := range s {
		sum += x * x
	}
	return sum / float64(rate)
}

func decibel(power float64) float64 { return 10 * math.Log10(power) }

// spectrum is the power in each bin of the whole of s.
func spectrum(s []float64) []float64 {
	bins := fourier.NewFFT(len(s)).Coefficients(nil, s)
	powers := make([]float64, len(bins))
	for i, c := range bins {
		powers[i] = cmplx.Abs(c) * cmplx.Abs(c)
	}
	return powers
}

func band(powers []float64, from, to float64) float64 {
	sum := 0.0
	for i := int(from); i < int(to); i++ {
		sum += powers[i]
	}
	return sum
}

// centroid is the centre of gravity of the power spectrum, in hertz.
func centroid(s []float64, rate int) float64 {
	weighted, sum := 0.0, 0.0
	for i, p := range spectrum(s) {
		weighted, sum = weighted+p*float64(i), sum+p
	}
	return weighted / sum * float64(rate) / float64(len(s))
}
