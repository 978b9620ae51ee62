package loudness

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"pgregory.net/rapid"
)

// A steady sine's peak is its amplitude, whatever its phase. Reading it at
// four times the rate may miss 20 log10(cos(pi f/(4 rate))) dB (ITU-R BS.1770
// Annex 2, attachment 1) and the filter may ripple by another 0.1 dB.
func TestTruePeakOfSines(t *testing.T) {
	t.Parallel()
	for _, f := range []float64{0.01, 0.05, 0.1, 0.2, 0.25, 0.3, 1.0 / 3, 0.35, 0.4, 0.43} { // of the rate
		for degrees := 0.0; degrees < 180; degrees += 7.5 {
			frames := make([][2]float64, 4800)
			for i := range frames {
				// Faded: a sine that starts at once has higher peaks.
				fade := math.Sin(math.Pi * float64(i) / float64(len(frames)))
				v := 0.5 * fade * math.Sin(2*math.Pi*f*float64(i)+degrees*math.Pi/180)
				frames[i] = [2]float64{v, 0}
			}
			r := measured(t, 48000, 2, Options{}, frames)
			missed := 20 * math.Log10(math.Cos(math.Pi*f/4))
			if d := float64(r.TruePeak) + 6.0206; d > 0.1 || d < missed-0.1 {
				t.Errorf("%.3f of the rate at %g degrees reads %.3f dB off, wanted %.3f to 0 within 0.1", f, degrees, d, missed)
			}
		}
	}
}

// Source: the definition of a band-limited waveform, by a Fourier transform
// (gonum) that is padded to 32 times the rate. The noise ends at 0.36 of the
// rate, 16 kHz at 44.1 kHz.
func TestTruePeakAgainstSpectrum(t *testing.T) {
	t.Parallel()
	const n, finer, highest = 4096, 32, 4096 * 36 / 100
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 2))
		spectrum := make([]complex128, n*finer/2+1)
		for i := 1; i < highest; i++ {
			spectrum[i] = cmplx.Rect(0.01, 2*math.Pi*r.Float64())
		}
		waveform := fourier.NewFFT(n*finer).Sequence(nil, spectrum)
		// The transform goes round and the meter does not: the second of
		// three rounds is the one that has music on both sides.
		frames := make([][2]float64, 0, 3*n)
		for range 3 {
			for i := 0; i < len(waveform); i += finer {
				frames = append(frames, [2]float64{0, waveform[i]})
			}
		}
		want := 20 * math.Log10(largest(waveform))
		got := measured(t, 48000, 2, Options{}, frames)
		near(t, fmt.Sprint("true peak of noise ", seed), got.TruePeak, want, 0.2)
	}
}

// The bound that lets groups of points be passed over changes no result.
func TestTruePeakSkipsNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-1, 1), taps, 200).Draw(t, "x")
		if rapid.Bool().Draw(t, "bursts") {
			for i := range x {
				x[i] = math.Pow(x[i], 9)
			}
		}
		floor := rapid.Float64Range(0, 2).Draw(t, "floor")
		want, wantSample := floor, 0.0
		for i := range len(x) - taps + 1 {
			want = max(want, interpolation.at((*[taps]float64)(x[i:])))
		}
		for _, v := range x {
			wantSample = max(wantSample, math.Abs(v))
		}
		sample, between := interpolation.peaks(x, floor)
		if between != want || sample != wantSample {
			t.Fatalf("peaks are %v and %v, one by one %v and %v", sample, between, wantSample, want)
		}
	})
}

// A peak between the last samples counts as well, wherever the stream ends.
func TestTruePeakAtTheEnd(t *testing.T) {
	t.Parallel()
	for n := 2; n < 60; n++ {
		frames := make([][2]float64, n)
		frames[n-2][1], frames[n-1][1] = 0.5, 0.5
		r := measured(t, 44100, 2, Options{}, frames)
		// Two equal samples alone meet at sinc(1/2)+sinc(-1/2) = 4/pi times
		// their value, less what the window takes.
		near(t, fmt.Sprintf("end after %d frames", n), r.TruePeak, 20*math.Log10(0.5*4/math.Pi), 0.1)
		if r.Channel[0].TruePeak != Silence {
			t.Errorf("the silent channel peaks at %v", r.Channel[0].TruePeak)
		}
	}
}
