package resample

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os/exec"
	"testing"

	"drylane/testdata/reftest"
)

// A converter turns one channel into another rate.
type converter func(t *testing.T, in []float64, from, to int) []float64

func ours(t *testing.T, in []float64, from, to int) []float64 {
	frames := make([][2]float64, len(in))
	for i, x := range in {
		frames[i][0] = x
	}
	out := convert(t, frames, from, to)
	mono := make([]float64, len(out))
	for i, f := range out {
		mono[i] = f[0]
	}
	return mono
}

// sox is SoX's rate effect at the given quality, through 64-bit float files.
func sox(path, quality string) converter {
	return func(t *testing.T, in []float64, from, to int) []float64 {
		var stdin, stderr bytes.Buffer
		binary.Write(&stdin, binary.LittleEndian, in)
		cmd := exec.Command(path, "-D", "-t", "f64", "-r", fmt.Sprint(from), "-c", "1", "-",
			"-t", "f64", "-", "rate", quality, fmt.Sprint(to))
		cmd.Stdin, cmd.Stderr = &stdin, &stderr
		raw, err := cmd.Output()
		if err != nil {
			t.Fatalf("sox: %v: %s", err, stderr.Bytes())
		}
		out := make([]float64, len(raw)/8)
		binary.Read(bytes.NewReader(raw), binary.LittleEndian, out)
		return out
	}
}

const amplitude = 0.5

// tones returns one quarter of a second of each frequency in turn.
func tones(freqs []float64, rate int) []float64 {
	var out []float64
	for _, f := range freqs {
		for i := range rate / 4 {
			out = append(out, amplitude*math.Sin(2*math.Pi*f*float64(i)/float64(rate)))
		}
	}
	return out
}

// fit takes tone k out of x, the converted tones, and returns its gain and the
// root mean square of all else, both against the tone put in. Only the middle
// half of each tone counts, clear of the joins.
func fit(x []float64, k int, f float64, rate int) (gain, rest float64) {
	n := rate / 4
	x = x[k*n+n/4:][:n/2]
	var ss, cc, sc, xs, xc float64
	for i, v := range x {
		s, c := math.Sincos(2 * math.Pi * f * float64(i) / float64(rate))
		ss, cc, sc = ss+s*s, cc+c*c, sc+s*c
		xs, xc = xs+v*s, xc+v*c
	}
	det := ss*cc - sc*sc
	a, b := (xs*cc-xc*sc)/det, (xc*ss-xs*sc)/det
	for i, v := range x {
		s, c := math.Sincos(2 * math.Pi * f * float64(i) / float64(rate))
		rest += (v - a*s - b*c) * (v - a*s - b*c)
	}
	return math.Hypot(a, b) / amplitude, math.Sqrt(2*rest/float64(len(x))) / amplitude
}

func dB(x float64) float64 { return 20 * math.Log10(x) }

func steps(from, to, step float64) (freqs []float64) {
	for f := from; f <= to; f += step {
		freqs = append(freqs, f)
	}
	return freqs
}

// figures are what a rate converter is judged by.
type figures struct {
	ripple  float64 // dB, largest gain error up to 20 kHz
	edge    float64 // Hz, where the gain has fallen by 3 dB
	images  float64 // dB, worst by-product of a tone up to 20 kHz, 44.1 to 48 kHz
	aliases float64 // dB, loudest remains of a tone above 22.05 kHz, 48 to 44.1 kHz
	sweep   float64 // dB, signal to error of a sweep to 20 kHz against its formula
}

func measure(t *testing.T, c converter) figures {
	f := figures{images: math.Inf(-1), aliases: math.Inf(-1)}
	band := append([]float64{20, 50, 100, 440}, steps(1000, 20000, 500)...)
	out := c(t, tones(band, 44100), 44100, 48000)
	for k, freq := range band {
		gain, rest := fit(out, k, freq, 48000)
		f.ripple = max(f.ripple, math.Abs(dB(gain)))
		f.images = max(f.images, dB(rest))
	}
	slope := steps(20000, 22050, 25)
	out = c(t, tones(slope, 44100), 44100, 48000)
	for k, freq := range slope {
		if gain, _ := fit(out, k, freq, 48000); dB(gain) < -3 {
			f.edge = freq
			break
		}
	}
	above := steps(22060, 23900, 80)
	out = c(t, tones(above, 48000), 48000, 44100)
	for k := range above {
		_, rest := fit(out, k, 1, 44100) // nothing of the tone is left to fit
		f.aliases = max(f.aliases, dB(rest))
	}
	f.sweep = sweepSNR(c(t, sweep(44100), 44100, 48000))
	return f
}

// sweep is four seconds of an exponential sine sweep from 20 Hz to 20 kHz.
func sweep(rate int) []float64 {
	const length, octaves = 4.0, 9.965784284662087 // log2(1000)
	k := length / (octaves * math.Ln2)
	out := make([]float64, int(length*float64(rate)))
	for i := range out {
		at := float64(i) / float64(rate)
		out[i] = amplitude * math.Sin(2*math.Pi*20*k*(math.Exp(at/k)-1))
	}
	return out
}

// sweepSNR compares a converted sweep with the formula at the new rate, apart
// from the twentieth at either end, where the sudden start and stop ring.
func sweepSNR(got []float64) float64 {
	want := sweep(48000)
	var signal, noise float64
	for i := len(want) / 20; i < len(want)*19/20; i++ {
		signal += want[i] * want[i]
		noise += (got[i] - want[i]) * (got[i] - want[i])
	}
	return 10 * math.Log10(signal/noise)
}

// TestQuality holds the converter to mastering quality and prints its figures
// beside those of SoX 14.4 at "high" and "very high", taken the same way.
func TestQuality(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	got := measure(t, ours)
	t.Logf("%-8s %+v", "ours", got)
	if got.ripple > 0.0001 {
		t.Errorf("pass-band error %.2g dB, want at most 0.0001", got.ripple)
	}
	if got.edge < 20700 {
		t.Errorf("down 3 dB at %.0f Hz, want above 20700", got.edge)
	}
	if got.images > -135 || got.aliases > -125 || got.sweep < 130 {
		t.Errorf("images %.1f dB, aliases %.1f dB, sweep %.1f dB: want -135, -125, 130",
			got.images, got.aliases, got.sweep)
	}
	path := reftest.Tool(t, "sox")
	for _, quality := range []string{"-h", "-v"} {
		ref := measure(t, sox(path, quality))
		t.Logf("%-8s %+v", "sox "+quality, ref)
		if quality == "-h" && (got.images > ref.images+1 || got.aliases > ref.aliases+1 || got.sweep < ref.sweep-1) {
			t.Errorf("worse than sox %s: %+v, ours %+v", quality, ref, got)
		}
	}
}
