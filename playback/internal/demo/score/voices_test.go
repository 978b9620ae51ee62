package score

import (
	"math"
	"math/cmplx"
	"testing"

	"drylane/playback/internal/dsp"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A sawtooth's partials fall as 1/k (Fourier series, textbook), and nothing else
// may be heard: what folds back stays 40 dB below the fundamental.
func TestSawPartials(t *testing.T) {
	const n, cycles = 44100, 441 // a 441 Hz note
	o := saw{step: float64(cycles) / n}
	s := make([]float64, n)
	for i := range s {
		s[i] = o.next()
	}
	bins := fourier.NewFFT(n).Coefficients(nil, s)
	first := cmplx.Abs(bins[cycles])
	for k := 2; k <= 10; k++ {
		got := 20 * math.Log10(cmplx.Abs(bins[k*cycles])/first)
		if want := -20 * math.Log10(float64(k)); math.Abs(got-want) > 1 {
			t.Errorf("partial %d is at %.1f dB, want %.1f", k, got, want)
		}
	}
	for i := 1; i < 10*cycles; i++ {
		if level := 20 * math.Log10(cmplx.Abs(bins[i])/first); i%cycles != 0 && level > -40 {
			t.Fatalf("there is %.1f dB at %d Hz, which is no partial", level, i)
		}
	}
}

// Every pitched instrument must be in tune, to an eighth of a semitone: the
// violins beat by up to 8 cents either way on purpose.
func TestInstrumentsAreInTune(t *testing.T) {
	for name, sound := range map[string]func(note, *dsp.Rand) []float64{
		"violin": soundViolin, "bass": soundBass, "bell": soundBell, "pluck": soundPluck, "horn": soundHorn,
	} {
		for _, p := range []pitch{45, 57, d5, a5} {
			rand := dsp.Rand(1)
			s := sound(note{length: 2 * Rate, pitch: p, force: 0.7}, &rand)
			got := strongest(s, 0.9*p.hz(), 1.1*p.hz())
			if cents := 1200 * math.Log2(got/p.hz()); math.Abs(cents) > 12.5 {
				t.Errorf("%s: pitch %d sounds at %.2f Hz, %+.0f cents off", name, p, got, cents)
			}
		}
	}
}

// strongest is the highest peak of the spectrum of s between two frequencies.
func strongest(s []float64, from, to float64) float64 {
	const size = 1 << 18 // a sixth of a hertz a bin
	padded := make([]float64, size)
	window := min(len(s), Rate*8/10)
	for i := range window {
		padded[i] = s[i] * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(window)))
	}
	bins := fourier.NewFFT(size).Coefficients(nil, padded)
	best := int(from * size / Rate)
	for i := best; i < int(to*size/Rate); i++ {
		if cmplx.Abs(bins[i]) > cmplx.Abs(bins[best]) {
			best = i
		}
	}
	return float64(best) * Rate / size
}

// Drums carry the accents: 90 % of their peak must be reached within 12 ms, and
// the first sound within 1 ms.
func TestDrumsStrikeAtOnce(t *testing.T) {
	for name, sound := range map[string]func(note, *dsp.Rand) []float64{
		"kick": soundKick, "snare": soundSnare, "hat": soundHat, "tom": soundTom, "timpani": soundTimpani, "cymbal": soundCymbal,
	} {
		rand := dsp.Rand(1)
		s := sound(note{pitch: 38, force: 1}, &rand)
		peak := dsp.Peak(s)
		if first := dsp.Peak(s[:Rate/1000]); first < 0.03*peak {
			t.Errorf("%s: only %.3f of the peak in the first millisecond", name, first/peak)
		}
		if early := dsp.Peak(s[:Rate*12/1000]); early < 0.9*peak {
			t.Errorf("%s: only %.2f of the peak in the first 12 ms", name, early/peak)
		}
		if end := math.Abs(s[len(s)-1]); end > 1e-4 {
			t.Errorf("%s ends at %g, want silence", name, end)
		}
	}
}

// The hall dies away by 60 dB in about the time it was made for. The time is
// read from the backward integral of its impulse response (Schroeder 1965)
// between -5 and -35 dB and doubled, as ISO 3382 does for T30. Its treble is
// damped, so it may be shorter, not longer.
func TestHallDecay(t *testing.T) {
	h := newHall(1.9)
	const n = 3 * Rate
	energy := make([]float64, n+1)
	response := make([]float64, n)
	for i := range response {
		x := 0.0
		if i == 0 {
			x = 1
		}
		l, r := h.next(x, x)
		response[i] = l*l + r*r
	}
	for i := n - 1; i >= 0; i-- {
		energy[i] = energy[i+1] + response[i]
	}
	at := func(db float64) float64 {
		for i, e := range energy {
			if e < energy[0]*math.Pow(10, db/10) {
				return float64(i) / Rate
			}
		}
		return math.Inf(1)
	}
	if rt60 := 2 * (at(-35) - at(-5)); rt60 < 0.9 || rt60 > 2 {
		t.Errorf("the hall dies away in %.2f s, want 0.9 to 2", rt60)
	}
}
