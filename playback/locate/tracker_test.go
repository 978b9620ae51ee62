package locate

import (
	"math"
	"testing"

	"drylane/playback/internal/outdoors"
)

// level is the RMS of so many samples of the music from a moment on.
func (m *Music) level(at float64, samples int) float64 {
	from := int(math.Round(at * Rate))
	sum := 0.0
	for j := max(0, from); j < min(len(m.samples), from+samples); j++ {
		v := float64(m.samples[j]) * m.scale
		sum += v * v
	}
	return math.Sqrt(sum / float64(max(1, samples)))
}

// TestTracker: a short block is placed to a tenth of a millisecond from a place that is a
// few off, with a score over what chance gives; silence has none.
func TestTracker(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	x, rate, m := demoMusic(t)
	heard := narrowed(t, outdoors.Scene{Seed: 7, Noise: true, SNR: 6}.Take(x[30*rate:40*rate], rate), rate)
	tr := NewTracker(m)
	for at := 0; at+TrackLength <= len(heard); at += 7000 {
		place := 30 + float64(at)/Rate
		if r := tr.Measure(heard[at:at+TrackLength], place-0.0021, 0.01); math.Abs(r.Lag-0.0021) > 0.0001 || r.Score < 5 || math.Abs(r.Music/m.level(place-0.0021, TrackLength)-1) > 1e-9 {
			t.Errorf("at %.2f s: %+v", place, r)
		}
		if r := tr.Measure(heard[at:at+TrackLength], place+41.3, 0.0006); r.Score > 6 {
			t.Errorf("elsewhere: %+v", r)
		}
	}
	if r := tr.Measure(make([]float32, TrackLength), 30, 0.01); r != (Reading{Music: r.Music}) {
		t.Errorf("silence: %+v", r)
	}
}

// BenchmarkTracker measures a block, eight of which come in a second.
func BenchmarkTracker(b *testing.B) {
	x, rate, m := demoMusic(b)
	heard := narrowed(b, x[30*rate:31*rate], rate)
	tr := NewTracker(m)
	b.ReportAllocs()
	for b.Loop() {
		tr.Measure(heard[:TrackLength], 30, 0.0006)
	}
}
