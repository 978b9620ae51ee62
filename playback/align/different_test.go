package align

import (
	"context"
	"runtime"
	"sync"
	"testing"
)

// TestDifferentPieces shows the rate of false matches. In each group every
// piece is compared with every other: one tempo, one key, one set of
// instruments and drum sounds, all notes on one grid to the sample. With no
// match in 3,105 pairs the rate is below 1 in 1,000 at 95 % confidence (3/n,
// the rule of three), as far as pairs that share a piece count as independent.
//
// Pieces are short, at 5.5 kHz and windows of 0.7 s, which gives chance
// more room, as longer windows and more of them hold less that is alike; the
// two best lines of the coarse search are tried instead of six. Only the speed
// ratio 1 is tried: at another one, pieces are out of step.
func TestDifferentPieces(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	pieces := 46 // 1,035 pairs in each of three groups
	if raceEnabled || testing.Short() {
		pieces = 12
	}
	for _, g := range []struct {
		name string
		score
	}{
		{"same tempo, key and instruments", score{}},
		{"same beat too, to the sample", score{sameBeat: true}},
		{"loops of two seconds", score{loop: 4}},
	} {
		t.Run(g.name, func(t *testing.T) {
			verdicts := comparePairs(t, g.score, pieces)
			if n := pieces * (pieces - 1) / 2; verdicts[Different] != n {
				t.Errorf("%d of %d pairs of pieces were found different: %v", verdicts[Different], n, verdicts)
			}
		})
	}
}

// comparePairs compares every two of n pieces and counts the verdicts.
func comparePairs(t *testing.T, s score, n int) map[Verdict]int {
	t.Helper()
	tracks := make([]*track, n)
	for i := range tracks {
		s.seed, s.rate, s.seconds, s.bpm = uint64(i)+100, 5512, 9, 120
		var err error
		if tracks[i], err = readTrack(context.Background(), compose(s).audio(), both, func(float64) {}); err != nil {
			t.Fatal(err)
		}
	}
	verdicts := map[Verdict]int{}
	var mu sync.Mutex
	var wg sync.WaitGroup
	rows := make(chan int, n)
	for i := range tracks {
		rows <- i
	}
	close(rows)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range rows {
				for j := range i {
					v := verdictOf(t, tracks[i], tracks[j])
					mu.Lock()
					verdicts[v]++
					mu.Unlock()
				}
			}
		})
	}
	wg.Wait()
	return verdicts
}

func verdictOf(t *testing.T, a, b *track) Verdict {
	ctx := context.Background()
	c := newComparisonSized(a, b, DefaultMaxOffset, 4096, 2)
	found, err := c.search(ctx, baseRatios[:1], func(float64) {})
	if err != nil {
		t.Error(err)
		return ""
	}
	r, err := c.judge(ctx, found)
	if err != nil {
		t.Error(err)
	}
	return r.Verdict
}

// The reduced pipeline of comparePairs does find a piece in itself.
func TestReducedPipelineFindsItself(t *testing.T) {
	t.Parallel()
	for seed := range uint64(10) {
		m := compose(score{seed: seed, rate: 5512, seconds: 10, bpm: 120})
		a, err := readTrack(context.Background(), m.audio(), both, func(float64) {})
		if err != nil {
			t.Fatal(err)
		}
		b, err := readTrack(context.Background(), m.cut(4000, len(m.frames)).audio(), both, func(float64) {})
		if err != nil {
			t.Fatal(err)
		}
		if v := verdictOf(t, a, b); v != Same {
			t.Errorf("seed %d: verdict %q, want %q", seed, v, Same)
		}
	}
}

// At full length, with all ratios tried.
func TestDifferentAtLength(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	for _, s := range []score{{}, {sameBeat: true}, {sameBeat: true, drums: 2}, {loop: 16}} {
		s.rate, s.seconds, s.bpm = 11025, 60, 120
		s.seed = 1
		a := compose(s)
		s.seed = 2
		b := compose(s)
		if r := compare(t, a, b, Options{}); r.Verdict != Different || r.Confidence != 0 {
			t.Errorf("%+v: %+v", s, r)
		}
	}
}
