package align

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"drylane/playback/internal/robust"

	"golang.org/x/sync/errgroup"
)

// How candidates are sifted.
const (
	wanted        = 6     // candidates of one ratio that are tried on the waveform
	screenWindows = 16    // windows for that
	probeWindows  = 5     // of them, after which a hopeless candidate is dropped
	finalWindows  = 120   // windows for the answer
	lineWidth     = 1e-3  // seconds either side of a line within which a window lies on it
	leastShare    = 0.6   // what a window must have in common to lie on the line
	fitShare      = 0.3   // and to help place the line
	maxSlope      = 2e-3  // by which a coarse line may be wrong
	finestCut     = 20e-6 // seconds; outliers are not sought below this
)

// A comparison holds what is needed to try lines on a pair of tracks.
type comparison struct {
	a, b      *track
	maxOffset time.Duration
	scopes    sync.Pool
	window    float64 // seconds
	wanted    int     // candidates of one ratio
}

func newComparison(a, b *track, maxOffset time.Duration) *comparison {
	// 1.4 s windows, or half of that when there is little to part.
	size := 16384
	if min(a.seconds(), b.seconds()) < 30 {
		size = 8192
	}
	return newComparisonSized(a, b, maxOffset, size, wanted)
}

// newComparisonSized sets the size of the transform, which is that of a window
// and the longest lag, and the number of candidates.
func newComparisonSized(a, b *track, maxOffset time.Duration, size, wanted int) *comparison {
	n := size - int(searchReach*a.hz()) - 1
	c := &comparison{a: a, b: b, maxOffset: maxOffset, window: float64(n) / a.hz(), wanted: wanted}
	c.scopes.New = func() any { return newScope(a, b, n) }
	return c
}

// A contender is a line that was tried on the waveform.
type contender struct {
	line
	fit      robust.Fit // of the residuals about the line that was tried
	readings []reading  // of the windows that count, in order
	on       []int      // those that lie on the line and have leastShare in common
	overlap  float64    // seconds of A that B has at the same time
}

// share is the part of the sound that lies on the line: the windows' shares
// summed over those on the line, over all windows that count.
func (c *contender) share() float64 {
	if len(c.readings) == 0 {
		return 0
	}
	sum := 0.0
	for _, i := range c.on {
		sum += c.readings[i].share
	}
	return sum / float64(len(c.readings))
}

// score orders contenders: seconds explained. Of two lines that fit as well
// the one that explains more of the music is right.
func (c *contender) score() float64 { return c.share() * c.overlap }

func (c *contender) onLine() float64 {
	if len(c.readings) == 0 {
		return 0
	}
	return float64(len(c.on)) / float64(len(c.readings))
}

// A ranking is contenders, best first.
type ranking []contender

// merge ranks two rankings as one. Lines that explain the music as well as the
// best one does, to 1 %, are a matter of taste: of those the one with the
// smallest offset goes first.
func (r ranking) merge(other ranking) ranking {
	all := append(slices.Clone(r), other...)
	slices.SortStableFunc(all, func(a, b contender) int { return cmpDesc(a.score(), b.score()) })
	first := 0
	for i := range all {
		if all[i].score() >= 0.99*all[0].score() && math.Abs(all[i].start) < math.Abs(all[first].start) {
			first = i
		}
	}
	best := all[first]
	return slices.Insert(slices.Delete(all, first, first+1), 0, best)
}

func (r ranking) convincing() bool {
	return len(r) > 0 && len(r[0].on) >= 4 && r[0].onLine() >= sameShare
}

// search tries the best lines of each ratio on the waveform.
func (c *comparison) search(ctx context.Context, ratios []float64, progress func(float64)) (ranking, error) {
	var analysed sync.WaitGroup
	analysed.Go(func() { c.a.features() })
	c.b.features()
	analysed.Wait()
	var found ranking
	for _, ratio := range ratios {
		lines, err := coarse(ctx, c.a.features(), c.b.features(), ratio, c.maxOffset, c.wanted)
		if err != nil {
			return nil, err
		}
		var tried ranking
		for _, l := range lines {
			t, err := c.screen(ctx, l.line)
			if err != nil {
				return nil, err
			}
			tried = append(tried, t)
		}
		if len(tried) > 0 {
			found = found.merge(tried)
		}
		progress(1 / float64(len(ratios)))
	}
	return found, nil
}

// screen tries a line on a few windows, and on some more if one of those has
// anything in common.
func (c *comparison) screen(ctx context.Context, l line) (contender, error) {
	t, err := c.try(ctx, l, searchReach, probeWindows)
	if err != nil || len(t.on) == 0 {
		return t, err
	}
	return c.try(ctx, l, searchReach, screenWindows)
}

// try reads windows along l and fits a line through them.
func (c *comparison) try(ctx context.Context, l line, reach float64, windows int) (contender, error) {
	from, to := c.overlap(l)
	t := contender{line: l, overlap: max(0, to-from)}
	if t.overlap < max(c.window, shortest/2) {
		return t, nil
	}
	all, err := c.readings(ctx, l, c.plan(from, to, windows), reach)
	if err != nil {
		return contender{}, err
	}
	for _, r := range all {
		if r.counts {
			t.readings = append(t.readings, r)
		}
	}
	t.settle()
	return t, nil
}

// settle fits the line and tells which windows lie on it.
func (c *contender) settle() {
	var x, y, w []float64
	var index []int
	for i, r := range c.readings {
		if r.share >= fitShare {
			x, y, w = append(x, r.at), append(y, r.lag), append(w, r.share)
			index = append(index, i)
		}
	}
	f, on := robust.Line(x, y, w, lineWidth, maxSlope, finestCut)
	c.fit, c.on = f, nil
	for _, k := range on {
		if w[k] >= leastShare {
			c.on = append(c.on, index[k])
		}
	}
	c.line = c.line.plus(f)
}

// stretch returns the longest run of windows on the line, as a range of c.on.
// One window amiss does not end a run. Another edit of the same music shares a
// long run; two pieces that only share instruments and a key share windows here
// and there.
func (c *contender) stretch() (from, to int) {
	start := 0
	for k := range c.on {
		if k > 0 && c.on[k]-c.on[k-1] > 2 {
			start = k
		}
		if k+1-start > to-from {
			from, to = start, k+1
		}
	}
	return from, to
}

// overlap returns the stretch of A, in seconds, that B has along l.
func (c *comparison) overlap(l line) (from, to float64) {
	return max(0, -l.start/l.ratio), min(c.a.seconds(), (c.b.seconds()-l.start)/l.ratio)
}

// plan spreads windows over a stretch; neighbours overlap by half at most.
func (c *comparison) plan(from, to float64, most int) []float64 {
	first, last := from+c.window/2, to-c.window/2
	n := max(1, min(most, int((last-first)/(c.window/2))+1))
	at := make([]float64, n)
	for i := range at {
		at[i] = first
		if n > 1 {
			at[i] += (last - first) * float64(i) / float64(n-1)
		}
	}
	return at
}

// readings reads the windows at the given moments, on all cores.
func (c *comparison) readings(ctx context.Context, l line, at []float64, reach float64) ([]reading, error) {
	out := make([]reading, len(at))
	g, ctx := errgroup.WithContext(ctx)
	workers := min(runtime.GOMAXPROCS(0), len(at))
	for w := range workers {
		g.Go(func() error {
			s := c.scopes.Get().(*scope)
			defer c.scopes.Put(s)
			for i := w; i < len(at); i += workers {
				if err := ctx.Err(); err != nil {
					return err
				}
				out[i] = s.read(l, at[i], reach)
			}
			return nil
		})
	}
	return out, g.Wait()
}
