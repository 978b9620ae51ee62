package loudness

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"drylane/testdata/reftest"

	"github.com/faiface/beep"
	"github.com/faiface/beep/wav"
)

func BenchmarkMeter(b *testing.B) {
	for _, c := range []struct {
		name   string
		frames [][2]float64
	}{
		{"music", music(48000, 30, 1)},
		// The filters decay towards numbers that processors are slow on.
		{"silence after music", append(music(48000, 1, 1), make([][2]float64, 29*48000)...)},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				m, err := New(48000, 2, Options{})
				if err != nil {
					b.Fatal(err)
				}
				m.Write(c.frames)
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/30*1e3, "ms/s-of-music")
		})
	}
}

// BenchmarkAgainstFFmpeg times the same WAV file from disk to result, here on
// one core and on two, and in ffmpeg, one after the other. A ratio of 2 means
// twice as long as ffmpeg took.
func BenchmarkAgainstFFmpeg(b *testing.B) {
	ffmpeg := reftest.Tool(b, "ffmpeg")
	path := filepath.Join(b.TempDir(), "music.wav")
	writeWAV(b, path, music(44100, 300, 1))
	var one, two, theirs time.Duration
	for b.Loop() {
		one += timed(func() { measureWAV(b, path, onOneCore) })
		two += timed(func() { measureWAV(b, path, Measure) })
		theirs += timed(func() {
			if out, err := exec.Command(ffmpeg, "-nostats", "-i", path, "-af", "ebur128=peak=true", "-f", "null", "-").CombinedOutput(); err != nil {
				b.Fatalf("%v\n%s", err, out)
			}
		})
	}
	b.ReportMetric(one.Seconds()/theirs.Seconds(), "one-core-ratio")
	b.ReportMetric(two.Seconds()/theirs.Seconds(), "two-core-ratio")
	b.ReportMetric(theirs.Seconds()/float64(b.N)/300*1e3, "ffmpeg-ms/s-of-music")
}

func timed(f func()) time.Duration {
	start := time.Now()
	f()
	return time.Since(start)
}

func writeWAV(b *testing.B, path string, frames [][2]float64) {
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	err = wav.Encode(f, &reader{frames: frames}, beep.Format{SampleRate: 44100, NumChannels: 2, Precision: 2})
	if err != nil {
		b.Fatal(err)
	}
}

type measure func(context.Context, beep.Streamer, int, int, Options) (Result, error)

func measureWAV(b *testing.B, path string, how measure) {
	f, err := os.Open(path)
	if err != nil {
		b.Fatal(err)
	}
	s, format, err := wav.Decode(f)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	if _, err := how(context.Background(), s, int(format.SampleRate), format.NumChannels, Options{}); err != nil {
		b.Fatal(err)
	}
}

// onOneCore is Measure without its second goroutine.
func onOneCore(_ context.Context, s beep.Streamer, rate, channels int, o Options) (Result, error) {
	m, err := New(rate, channels, o)
	if err != nil {
		return Result{}, err
	}
	var frames [4096][2]float64
	for {
		n, ok := s.Stream(frames[:])
		if !ok {
			return m.Result(), s.Err()
		}
		m.Write(frames[:n])
	}
}
