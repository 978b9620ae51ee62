package onset

import (
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/wavtest"
	"drylane/testdata/reftest"
)

// writeBursts writes 20 ms bursts of 1 kHz and returns when they begin.
func writeBursts(t testing.TB, path string) []time.Duration {
	const rate = 44100
	frames := make([][2]float64, 5*rate)
	var at []time.Duration
	for _, s := range []float64{0.5, 1.25, 2, 3.1, 4} {
		at = append(at, time.Duration(s*1e9))
		for i := range rate / 50 {
			v := 0.8 * math.Sin(2*math.Pi*1000*float64(i)/rate)
			frames[int(s*rate)+i] = [2]float64{v, v}
		}
	}
	wavtest.Write(t, path, 44100, 2, frames)
	return at
}

// BenchmarkTenMinutes holds the time for ten minutes of decaying noise in a WAV
// file against that of aubioonset.
func BenchmarkTenMinutes(b *testing.B) {
	path := filepath.Join(b.TempDir(), "ten.wav")
	r := rand.New(rand.NewPCG(1, 2))
	wavtest.Stream(b, path, 44100, 2, func(w *playback.WAVWriter) error {
		frames := make([][2]float64, 44100/2)
		for range 1200 {
			for i := range frames {
				v := 0.5 * math.Exp(-float64(i)/4000) * (2*r.Float64() - 1)
				frames[i] = [2]float64{v, v}
			}
			if err := w.Write(frames); err != nil {
				return err
			}
		}
		return nil
	})
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			m, err := Analyse(b.Context(), path, func() (io.ReadSeekCloser, error) { return os.Open(path) }, nil)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(len(m.Accents)), "accents")
		}
	})
	b.Run("aubioonset", func(b *testing.B) {
		tool := reftest.Tool(b, "aubioonset")
		for b.Loop() {
			if err := exec.Command(tool, path).Run(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
