package locate

import (
	"math"
	"slices"
	"testing"

	"drylane/playback/internal/outdoors"
)

// corpus are pieces of the corpus, every so many, two minutes of each at the most.
func corpus(t *testing.T, every int) [][]float64 {
	t.Helper()
	pieces, _ := outdoors.Corpus(t, 0, every)
	for i, x := range pieces {
		pieces[i] = x[:min(len(x), 120*44100)]
	}
	return pieces
}

// quantile is that of a share of what lies below, NaN of nothing.
func quantile(v []float64, p float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[int(p*float64(len(v)-1))]
}

// TestTrial prints how single blocks are found, by their length and the scene.
func TestTrial(t *testing.T) {
	const rate = 44100
	bad := outdoors.Scene{Room: true, Phone: true, Noise: true, PPM: 60}
	for i, piece := range corpus(t, 8) {
		f := NewFinder(musicOf(t, piece, rate))
		from := len(piece) / 3
		for _, snr := range []float64{6, 0, -6} {
			for _, bangs := range []float64{0, 0.5} {
				s := bad
				s.Seed, s.SNR, s.Bangs = uint64(i), snr, bangs
				heard := narrowed(t, s.Take(piece[from:][:40*rate], rate), rate)
				for _, length := range []int{Rate, 2 * Rate, BlockLength} {
					right, of, scores := 0, 0, []float64{}
					for at := 0; at+length <= len(heard); at, of = at+BlockLength, of+1 {
						want := float64(from)/rate + float64(at)/Rate/(1+s.PPM*1e-6)
						if p := f.Find(heard[at:at+length], All); len(p) > 0 && math.Abs(p[0].At-want) < 0.005 {
							right, scores = right+1, append(scores, p[0].Score)
						}
					}
					t.Logf("piece %d, %+.0f dB, %.1f bangs a second, %.1f s: %d of %d, scores p10 %.1f p50 %.1f",
						i, snr, bangs, float64(length)/Rate, right, of, quantile(scores, 0.1), quantile(scores, 0.5))
				}
			}
		}
	}
}

// TestTrialLine prints how lines through a few blocks score: of the music itself at 0 dB,
// and of other music, clean, that has the same instruments.
func TestTrialLine(t *testing.T) {
	const rate = 44100
	var musics []*Music
	var noisy, clean [][]float32
	for i, piece := range corpus(t, 4) {
		musics = append(musics, musicOf(t, piece, rate))
		part := piece[len(piece)/3:][:22*rate]
		s := outdoors.Scene{Seed: uint64(i), Room: true, Phone: true, Noise: true, PPM: 60}
		noisy, clean = append(noisy, narrowed(t, s.Take(part, rate), rate)), append(clean, narrowed(t, part, rate))
	}
	var right, wrong [6][]float64 // confidences, by the number of blocks
	elsewhere := 0
	for i, m := range musics {
		f := NewFinder(m)
		for k := range musics {
			heard := clean[k]
			if i == k {
				heard = noisy[k]
			}
			all := blocksOf(f, heard)
			for n := 2; n <= len(all); n++ {
				switch line, _ := FitLine(all[:n]); {
				case i != k:
					wrong[n] = append(wrong[n], line.Confidence)
				case math.Abs(line.At(0)-m.Length()/3) > 0.005:
					elsewhere++
					t.Logf("piece %d, %d blocks: %.3f s off, score %.1f, rivals %.2f", i, n, line.At(0)-m.Length()/3, line.Score, line.Rivals)
				default:
					right[n] = append(right[n], line.Confidence)
				}
			}
		}
	}
	for n := 2; n < len(right); n++ {
		t.Logf("%d blocks: %d right, confidence least %.3f p10 %.3f p50 %.3f; %d others, p50 %.3f p95 %.3f most %.3f", n, len(right[n]),
			quantile(right[n], 0), quantile(right[n], 0.1), quantile(right[n], 0.5), len(wrong[n]), quantile(wrong[n], 0.5), quantile(wrong[n], 0.95), quantile(wrong[n], 1))
	}
	t.Logf("%d lines elsewhere: repeats", elsewhere)
}
