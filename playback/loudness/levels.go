package loudness

import "math"

// Windows are counted in hops of 10 ms. Tech 3341 asks for a new reading every
// 100 ms at least; a burst that falls between two hops of 10 ms reads at most
// 0.06 LU low in its loudest momentary window.
const (
	hopsASecond    = 100
	stepHops       = 10  // 100 ms, from one gating block to the next
	momentaryHops  = 40  // 400 ms, also the length of a gating block
	shortTermHops  = 300 // 3 s
	momentarySteps = momentaryHops / stepHops
	shortTermSteps = shortTermHops / stepHops
)

// levels measures everything that comes from sums over frames: loudness, DC,
// balance and correlation.
type levels struct {
	rate        int
	weight      [2]float64 // of each channel's power
	shelf, pass biquad
	state       [2]kState

	frames int64 // measured so far
	hops   int64 // ended so far
	hopEnd int64 // the frame at which the present hop ends
	hop    sums  // of the present hop
	total  sums  // of the hops that have ended
	broken int64

	recent [2][stepHops]float64      // power sums of the last hops, by hop number
	steps  [2][shortTermHops]float64 // power sums of the 100 ms up to each hop

	momentary, shortTerm       float64    // mean power, now
	momentaryMax, shortTermMax float64    // mean power
	channelMax                 [2]float64 // loudest momentary mean power

	// One entry each 100 ms, from the first full window: mean powers over
	// 400 ms and over 3 s.
	gating, shortTerms []float64
}

// kState is the memory of one channel's K-weighting: two values a section.
type kState [4]float64

// sums are taken over frames; index 0 is left, 1 is right.
type sums struct {
	weighted [2]float64 // squares after K-weighting
	plain    [2]float64
	squares  [2]float64
	products float64 // left times right
}

func newLevels(rate, channels int, o Options) *levels {
	l := &levels{rate: rate, weight: [2]float64{1, 1}}
	if channels == 1 {
		l.weight = [2]float64{1, 0}
		if o.DualMono {
			l.weight[0] = 2
		}
	}
	l.shelf, l.pass = kWeighting(rate)
	l.hopEnd = l.hopStart(1)
	return l
}

// hopStart returns the frame at which hop i starts, rounded where a hop is no
// whole number of frames. At every rate that 5 divides, windows are still exact.
func (l *levels) hopStart(i int64) int64 {
	return (i*int64(l.rate) + hopsASecond/2) / hopsASecond
}

func (l *levels) add(b *block) {
	l.broken += b.broken
	left, right := b.left[:b.n], b.right[:b.n]
	for len(left) > 0 {
		n := int(min(int64(len(left)), l.hopEnd-l.frames))
		l.accumulate(left[:n], right[:n])
		left, right = left[n:], right[n:]
		l.frames += int64(n)
		if l.frames == l.hopEnd {
			l.endHop()
		}
	}
}

// accumulate filters both channels and adds the frames to the sums of the
// hop. Each section is in transposed direct form II. It is one long loop over
// local variables because it is where a measurement spends its time; both
// channels go side by side to hide each other's latency.
func (l *levels) accumulate(left, right []float64) {
	s, p := l.shelf, l.pass
	a, b := l.state[0], l.state[1]
	h := l.hop
	right = right[:len(left)]
	for i, x := range left {
		y := right[i]
		h.plain[0] += x
		h.plain[1] += y
		h.squares[0] += x * x
		h.squares[1] += y * y
		h.products += x * y

		u := s.b0*x + a[0]
		v := s.b0*y + b[0]
		a[0] = s.b1*x - s.a1*u + a[1]
		b[0] = s.b1*y - s.a1*v + b[1]
		a[1] = s.b2*x - s.a2*u
		b[1] = s.b2*y - s.a2*v

		x = p.b0*u + a[2]
		y = p.b0*v + b[2]
		a[2] = p.b1*u - p.a1*x + a[3]
		b[2] = p.b1*v - p.a1*y + b[3]
		a[3] = p.b2*u - p.a2*x
		b[3] = p.b2*v - p.a2*y
		h.weighted[0] += x * x
		h.weighted[1] += y * y
	}
	l.hop = h
	l.state[0], l.state[1] = a, b
}

// endHop closes the present hop and renews every window.
func (l *levels) endHop() {
	now := l.hops
	l.hops++
	l.hopEnd = l.hopStart(l.hops + 1)
	l.momentary, l.shortTerm = 0, 0
	for c := range 2 {
		l.state[c].settle()
		l.recent[c][now%stepHops] = l.hop.weighted[c]
		l.steps[c][now%shortTermHops] = sum(l.recent[c][:])

		m := l.window(c, now, momentarySteps)
		l.channelMax[c] = max(l.channelMax[c], m)
		l.momentary += l.weight[c] * m
		l.shortTerm += l.weight[c] * l.window(c, now, shortTermSteps)
	}
	l.momentaryMax = max(l.momentaryMax, l.momentary)
	l.shortTermMax = max(l.shortTermMax, l.shortTerm)
	if l.hops%stepHops == 0 {
		if l.hops >= momentaryHops {
			l.gating = append(l.gating, l.momentary)
		}
		if l.hops >= shortTermHops {
			l.shortTerms = append(l.shortTerms, l.shortTerm)
		}
	}
	l.total.add(&l.hop)
	l.hop = sums{}
}

// window returns the mean power of channel c over the given number of 100 ms
// steps up to hop now. It adds the steps afresh, so no rounding builds up.
func (l *levels) window(c int, now int64, steps int) float64 {
	var power float64
	i := int(now % shortTermHops)
	for range steps {
		power += l.steps[c][i]
		if i -= stepHops; i < 0 {
			i += shortTermHops
		}
	}
	return power / (float64(l.rate) * stepHops / hopsASecond * float64(steps))
}

// settle ends the decay into silence of a filter's memory before the numbers
// become so small that the processor slows down on them.
func (s *kState) settle() {
	for i, v := range s {
		if math.Abs(v) < 1e-30 {
			s[i] = 0
		}
	}
}

func (s *sums) add(o *sums) {
	for c := range 2 {
		s.weighted[c] += o.weighted[c]
		s.plain[c] += o.plain[c]
		s.squares[c] += o.squares[c]
	}
	s.products += o.products
}

func sum(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v
	}
	return s
}
