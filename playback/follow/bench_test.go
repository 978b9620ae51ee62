package follow

import (
	"testing"

	"drylane/show/timebase"
)

// BenchmarkHour follows an hour of timecode at 48 kHz, on the right of two channels
// with music on the left. What reading alone takes beside libltc is measured in package
// ltc.
func BenchmarkHour(b *testing.B) {
	s := code(b, timebase.FPS25, "01:00:00:00", 1500, hz) // a minute
	frames := make([][2]float64, len(s))
	for i, x := range s {
		frames[i] = [2]float64{0.3 * float64(i%100) / 100, x}
	}
	for range b.N {
		r, err := NewSides(Config{SampleRate: hz, From: from})
		if err != nil {
			b.Fatal(err)
		}
		for range 60 {
			r.Write(frames)
		}
		if r.At(r.Sample()).Locks == 0 {
			b.Fatal("never locked")
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/hour")
}
