package locate

import (
	"testing"

	"drylane/playback/internal/outdoors"
)

// TestTrialTrack prints the scores of short blocks at their place, and away from it.
func TestTrialTrack(t *testing.T) {
	const rate = 44100
	pieces := corpus(t, 8)
	for _, snr := range []float64{20, 6, 0, -6} {
		var on, away, other []float64
		for i, piece := range pieces {
			m := musicOf(t, piece, rate)
			tr := NewTracker(m)
			from := len(piece) / 3
			s := outdoors.Scene{Seed: uint64(i), Room: true, Phone: true, Noise: true, SNR: snr}
			heard := narrowed(t, s.Take(piece[from:][:20*rate], rate), rate)
			o := narrowed(t, pieces[(i+1)%len(pieces)][from:][:20*rate], rate)
			for at := 0; at+TrackLength <= len(heard); at += 1024 {
				place := float64(from)/rate + float64(at)/Rate
				on = append(on, tr.Measure(heard[at:], place, 0.01).Score)
				away = append(away, tr.Measure(heard[at:], place+3.7, 0.01).Score)
				other = append(other, tr.Measure(o[at:], place, 0.01).Score)
			}
		}
		t.Logf("%+.0f dB: on p1 %.1f p5 %.1f p10 %.1f p50 %.1f; away p50 %.1f p95 %.1f p99 %.1f; other p50 %.1f p95 %.1f p99 %.1f", snr, quantile(on, .01), quantile(on, .05), quantile(on, .1), quantile(on, .5),
			quantile(away, .5), quantile(away, .95), quantile(away, .99), quantile(other, .5), quantile(other, .95), quantile(other, .99))
	}
}
