package resample

import (
	"fmt"
	"testing"
	"time"
)

// BenchmarkRead reports how many times faster than real time one core
// converts stereo.
func BenchmarkRead(b *testing.B) {
	for _, rates := range [][2]int{{44100, 48000}, {48000, 44100}, {22050, 48000}, {96000, 48000}, {96000, 44100}, {44100, 96000}, {96000, 22050}} {
		b.Run(fmt.Sprintf("%d-%d", rates[0], rates[1]), func(b *testing.B) {
			r, err := New(rates[0], rates[1])
			if err != nil {
				b.Fatal(err)
			}
			in := noise(rates[0]/100, 1)
			out := make([][2]float64, rates[1]/50)
			b.ReportAllocs()
			for b.Loop() {
				r.Write(in)
				for r.Read(out) > 0 {
				}
			}
			perRun := b.Elapsed() / time.Duration(b.N)
			b.ReportMetric(float64(10*time.Millisecond)/float64(perRun), "x-real-time")
		})
	}
}
