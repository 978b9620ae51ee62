package bangs

import (
	"math"
	"runtime"

	"golang.org/x/sync/errgroup"
)

const (
	// before is how far back a band is looked at for whether it rises, in frames, and
	// gap the frames just ahead that are left out: the window reaches into them.
	before, gap = 10, 3
	// apart is how near bangs may come to each other and be two, in frames.
	apart = 7
	// highest is the most that one band's rise counts, lowest the least.
	highest = 3.0
	lowest  = -0.7
	// least is the rise that counts as a bang.
	least = 0.3
)

// weights say what a rise in a band counts: wind is lowest, clapping high.
var weights = [bands]float64{0.4, 0.8, 1, 1, 1, 1, 1, 0.8, 0.4, 0.25, 0.25, 0.25}

// A finder is given block after block.
type finder struct {
	expected [bands]expectation
	history  []frame // of the recording, as far as it is looked back
	music    []frame // likewise
	rises    []float32
}

// take looks at a block of the recording and the music of it, which may be shorter.
func (f *finder) take(rec, music []frame) {
	past := len(f.history)
	f.history = append(f.history, rec...)
	f.music = append(f.music, music...)
	for len(f.music) < len(f.history) {
		f.music = append(f.music, frame{})
	}
	var risen [bands][]float64
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for b := range bands {
		g.Go(func() error { risen[b] = f.band(rec, past, b); return nil })
	}
	_ = g.Wait() // no band fails
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	for n := range rec {
		total := 0.0
		for b, r := range risen {
			total += weights[b] * r[n]
		}
		f.rises = append(f.rises, float32(total/sum))
	}
	keep := min(longest, len(f.history))
	f.history = f.history[:copy(f.history, f.history[len(f.history)-keep:])]
	f.music = f.music[:copy(f.music, f.music[len(f.music)-keep:])]
}

// band is how far a band rises at each frame of a block, which begins at past in the
// history. It touches nothing of other bands.
func (f *finder) band(rec []frame, past, b int) []float64 {
	x, m := make([]float64, len(rec)), make([][parts]float64, len(rec))
	f.lagged(m, past, b)
	for n := range rec {
		x[n] = float64(rec[n][b]) + 1e-9
	}
	e := &f.expected[b]
	e.fit(x, m)
	for n := range rec {
		x[n] = f.rise(past+n, b, e.of(&m[n]))
	}
	return x
}

// lagged fills in the music's power in a band over each of lags, for the frames from
// past on. What comes straight may be a frame ahead.
func (f *finder) lagged(dst [][parts]float64, past, b int) {
	at := func(i int) float64 {
		if i < 0 || i >= len(f.music) {
			return 0
		}
		return float64(f.music[i][b])
	}
	var sum [len(lags)]float64
	for k, l := range lags {
		for i := l[0]; i < l[1]; i++ {
			sum[k] += at(past - 1 - i)
		}
	}
	for n := range dst {
		for k, l := range lags {
			sum[k] = max(0, sum[k]+at(past+n-l[0])-at(past+n-l[1]))
			dst[n][k] = sum[k]
		}
		dst[n][0] = max(dst[n][0], at(past+n+1))
		dst[n][parts-1] = 1
	}
}

// rise is how far a band is above both what is expected at frame n and what was there
// before, in nepers of power.
func (f *finder) rise(n, b int, expected float64) float64 {
	was, count := 0.0, 0
	for i := max(0, n-before); i <= n-gap; i++ {
		was += float64(f.history[i][b])
		count++
	}
	was = max(expected, was/float64(max(count, 1)))
	r := math.Log((float64(f.history[n][b]) + 1e-9) / (was + 1e-9) / 2)
	return max(lowest, min(r, highest))
}

// done returns the bangs: the rises that no other near exceeds.
func (f *finder) done() []Bang {
	var out []Bang
	for n, v := range f.rises {
		if v < least || !f.top(n) {
			continue
		}
		out = append(out, Bang{At: f.moment(n), Rise: float64(v)})
	}
	return out
}

// top reports whether frame n is the first of those that rise most near it.
func (f *finder) top(n int) bool {
	for i := max(0, n-apart); i < min(len(f.rises), n+apart+1); i++ {
		if f.rises[i] > f.rises[n] || f.rises[i] == f.rises[n] && i < n {
			return false
		}
	}
	return true
}

// moment is the time of frame n in seconds.
func (f *finder) moment(n int) float64 { return (float64(n)*hop + window/2) / Hz }
