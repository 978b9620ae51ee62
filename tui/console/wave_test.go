package console

import (
	"testing"

	"drylane/show/timebase"
)

// TestWaveScale: the loudest of the track reaches the edge, once all of it is known.
func TestWaveScale(t *testing.T) {
	for _, tt := range []struct {
		peak [2]float32
		ok   bool
		want float32
	}{{[2]float32{0.25, 0.1}, true, 4}, {[2]float32{0.1, 2}, true, 0.5}, {[2]float32{0.25, 0.1}, false, 1}, {[2]float32{}, true, 1}, {[2]float32{0.0001, 0}, true, 100}} {
		wave := func(from, to timebase.Frame) (peak, rms [2]float32, ok bool) {
			if from != 0 || to != 1000 {
				t.Errorf("asked for %d to %d", from, to)
			}
			return tt.peak, [2]float32{}, tt.ok
		}
		if got := waveScale(wave, 1000); got != tt.want {
			t.Errorf("peak %v, known %t: %v, want %v", tt.peak, tt.ok, got, tt.want)
		}
	}
}
