package align

import (
	"context"
	"math"
	"runtime"
	"time"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/dsp/fourier"
)

// baseRatios are the speeds of B against A that are tried, ratio 1 first: B's
// seconds for each second of A. The others are a file of one sample rate played
// at another and film at a wrong frame rate. Each takes in maxClockError to
// either side, and so 1001/1000 as well.
var baseRatios = []float64{
	1, 160. / 147, 147. / 160, 25. / 24, 24. / 25, 1001. / 960, 960. / 1001,
}

// maxClockError is how far the speed is searched about each of baseRatios.
const maxClockError = 1500e-6

// A segment is a stretch of A with its correlation against B at every lag.
type segment struct {
	centre float64   // frames of A
	corr   []float32 // [lag+reach], -1..+1
	inside []bool    // whether B has sound all along the segment at that lag
}

// coarse correlates segments of A with B at one base ratio and returns the
// lines along which the correlations add up best, best first.
func coarse(ctx context.Context, a, b *features, ratio float64, maxOffset time.Duration, want int) ([]candidate, error) {
	warp := make([][]float32, bands)
	for i := range warp {
		warp[i] = b.warped(i, a.hz, ratio)
	}
	// No lag is of use at which the tracks do not overlap.
	reach := int(maxOffset.Seconds() / ratio * a.hz)
	reach = min(reach, max(a.frames(), len(warp[0])))
	segs, err := correlateSegments(ctx, a, warp, reach)
	if err != nil {
		return nil, err
	}
	return sumLines(segs, a, ratio, reach, want), nil
}

// segmentPlan parts n frames into at most 48 segments of 4 to 20 seconds.
func segmentPlan(n int, hz float64) (starts []int, length int) {
	length = int(max(4*hz, min(20*hz, float64(n)/8)))
	length = min(length, n)
	count := max(1, min(48, 2*n/length-1))
	for i := range count {
		at := 0
		if count > 1 {
			at = i * (n - length) / (count - 1)
		}
		starts = append(starts, at)
	}
	return starts, length
}

func correlateSegments(ctx context.Context, a *features, warp [][]float32, reach int) ([]segment, error) {
	starts, length := segmentPlan(a.frames(), a.hz)
	segs := make([]segment, len(starts))
	g, ctx := errgroup.WithContext(ctx)
	workers := min(runtime.GOMAXPROCS(0), len(starts))
	for w := range workers {
		g.Go(func() error {
			c := newCorrelator(length, reach)
			for i := w; i < len(starts); i += workers {
				if err := ctx.Err(); err != nil {
					return err
				}
				segs[i] = c.segment(a, warp, starts[i])
			}
			return nil
		})
	}
	return segs, g.Wait()
}

// A correlator holds the buffers for correlating one segment.
type correlator struct {
	length, reach int
	fft           *fourier.FFT
	x             []float64
	fa, fb, sum   []complex128
	energy        []float64
}

func newCorrelator(length, reach int) *correlator {
	size := smooth(length + 2*reach + 1)
	return &correlator{
		length: length, reach: reach, fft: fourier.NewFFT(size),
		x: make([]float64, size), fa: make([]complex128, size/2+1), fb: make([]complex128, size/2+1),
		sum: make([]complex128, size/2+1), energy: make([]float64, length+2*reach+2),
	}
}

// segment correlates A from frame start on with B at lags -reach..reach, all
// bands together, and divides by both energies.
func (c *correlator) segment(a *features, warp [][]float32, start int) segment {
	clear(c.sum)
	clear(c.energy)
	own := 0.0
	for b := range warp {
		c.fill(a.bands[b], start, c.length)
		for _, v := range c.x[:c.length] {
			own += v * v
		}
		c.fft.Coefficients(c.fa, c.x)
		c.fill(warp[b], start-c.reach, c.length+2*c.reach)
		for i, v := range c.x[:c.length+2*c.reach] {
			c.energy[i+1] += v * v
		}
		c.fft.Coefficients(c.fb, c.x)
		for i := range c.sum {
			c.sum[i] += c.fb[i] * complex(real(c.fa[i]), -imag(c.fa[i]))
		}
	}
	for i := 1; i < len(c.energy); i++ {
		c.energy[i] += c.energy[i-1]
	}
	c.fft.Sequence(c.x, c.sum)
	return c.normalise(start, own, len(warp[0]))
}

// normalise makes correlation coefficients of the sums in x.
func (c *correlator) normalise(start int, own float64, lenB int) segment {
	s := segment{
		centre: float64(start) + float64(c.length)/2,
		corr:   make([]float32, 2*c.reach+1),
		inside: make([]bool, 2*c.reach+1),
	}
	scale := 1 / float64(len(c.x)) // the inverse transform is not normalised
	for i := range s.corr {
		from := start - c.reach + i
		s.inside[i] = from >= 0 && from+c.length <= lenB
		e := own * (c.energy[i+c.length] - c.energy[i])
		if s.inside[i] && e > 1e-9 {
			s.corr[i] = float32(c.x[i] * scale / math.Sqrt(e))
		}
	}
	return s
}

// fill copies n frames of src from frame start on to x, with zeros around.
func (c *correlator) fill(src []float32, start, n int) {
	clear(c.x)
	for i := max(0, -start); i < n && start+i < len(src); i++ {
		c.x[i] = float64(src[start+i])
	}
}

// smooth returns the least product of 2s, 3s and 5s that is n or more: a size
// at which the transform is quick.
func smooth(n int) int {
	for ; ; n++ {
		m := n
		for _, p := range []int{2, 3, 5} {
			for m%p == 0 {
				m /= p
			}
		}
		if m == 1 {
			return n
		}
	}
}
