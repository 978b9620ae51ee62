package ltc

import "math"

// A slicer turns samples into edges. It takes off the offset, smooths over
// less than half the shortest half bit, and then switches whenever the signal
// has passed through zero and on to a share of its usual size.
type slicer struct {
	ring []float64 // the samples that y is the mean of
	at   int       // which of them is the oldest
	sum  float64
	lag  int     // by how many samples y is late
	n    int64   // the sample that y belongs to
	y    float64 // smoothed signal

	dc, dcGain float64 // offset, and how fast it is followed
	size       float64 // mean of |y|
	sizeGain   float64 // how fast it is followed
	restGain   float64 // how fast it falls when no edges come
	peak       float64 // largest |y| since the last edge

	side  float64 // of zero that the signal is on: +1, -1; 0 for not known
	cross float64 // when y last changed sign
	edge  float64 // when the last edge was
	loud  float64 // last sample at which |y| was above the threshold
	lull  float64 // samples below the threshold that make a silence
	surge float64 // by how much sound must exceed size to be an onset
	onset bool    // the last edge was one: the sound begins with it
	pause float64 // samples without an edge after which none is due
}

const (
	dcTime     = 0.032  // s, 5 Hz: hardly any tilt at 800 Hz
	sizeTime   = 0.005  // s
	restTime   = 0.050  // s, longer than dcTime: a silence must not look like sound while the offset settles
	pauseTime  = 0.0015 // s, two and a half of the longest bits
	threshold  = 0.35   // of the mean size
	faintest   = 2e-5   // -94 dBFS: below is silence
	surge      = 4      // times the mean size: sound that begins, out of hiss
	absurd     = 1e6    // no sound is larger
	smoothPart = 0.6    // of the shortest half bit
	lullTime   = 0.0003 // s, the longest half bit
)

func newSlicer(rate float64, intake []float64) *slicer {
	length := int(smoothPart*rate/(30*maxSpeed*halves)+1)/2*2 - 1 // odd
	length = max(1, length)
	s := &slicer{
		ring: make([]float64, length), lag: length / 2, n: -int64(length/2) - 1,
		dcGain:   1 - math.Exp(-1/(dcTime*rate)),
		sizeGain: 1 - math.Exp(-1/(sizeTime*rate)),
		restGain: 1 - math.Exp(-1/(restTime*rate)),
		edge:     math.Inf(-1), loud: math.Inf(-1),
		surge: surge, lull: lullTime * rate, pause: pauseTime * rate,
	}
	for _, x := range intake {
		s.dc += sane(x) / float64(len(intake))
	}
	for _, x := range intake {
		s.size += math.Abs(sane(x)-s.dc) / float64(len(intake))
	}
	return s
}

// sane returns x, or 0 if it cannot be a sample.
func sane(x float64) float64 {
	if x > -absurd && x < absurd {
		return x
	}
	return 0
}

// next reads on to the next edge, but no further than the first sample after
// deadline. It returns how many samples it used, at least one, and when the
// edge was, if found. The caller asks for every sample of hours of sound, hence
// one long loop that keeps its numbers at hand.
func (s *slicer) next(samples []float64, deadline float64) (used int, t float64, found bool) {
	ring, at, sum, inverse := s.ring, s.at, s.sum, 1/float64(len(s.ring))
	dc, size, peak, y, n := s.dc, s.size, s.peak, s.y, s.n
	for !found && used < len(samples) && (used == 0 || float64(n) <= deadline) {
		x := sane(samples[used])
		used++
		n++
		dc += (x - dc) * s.dcGain

		sum += x - dc - ring[at]
		ring[at] = x - dc
		if at++; at == len(ring) { // the sum is made anew, so that it stays exact
			at, sum = 0, 0
			for _, v := range ring {
				sum += v
			}
		}
		before := y
		y = sum * inverse
		if (before < 0) != (y < 0) {
			s.cross = float64(n) - y/(y-before)
		}
		abs := math.Abs(y)
		if abs > peak {
			peak = abs
		}
		gain := s.sizeGain
		if abs < size && float64(n) > s.edge+s.pause {
			gain = s.restGain
		}
		size += (abs - size) * gain
		if v := s.side * y; v > threshold*size && v > faintest && v < s.surge*size { // as before: most samples
			s.loud = float64(n)
			continue
		}
		t, found = s.judge(y, before, size, n)
		if s.onset = found && abs > s.surge*size; s.onset {
			size = abs
		}
	}
	s.at, s.sum, s.dc, s.size, s.peak, s.y, s.n = at, sum, dc, size, peak, y, n
	return used, t, found
}

// judge tells whether y, after before, at sample n, brings an edge to light,
// and when the edge was.
func (s *slicer) judge(y, before, size float64, n int64) (t float64, edge bool) {
	abs, h := math.Abs(y), threshold*size
	if abs <= h || abs <= faintest {
		if float64(n) > s.loud+s.lull {
			s.side = 0
		}
		return 0, false
	}
	s.loud = float64(n)
	side := math.Copysign(1, y)
	onset := abs > s.surge*size
	if side == s.side && !onset {
		return 0, false
	}
	t = s.cross
	if s.side == 0 || onset { // out of silence
		t = float64(n) - min(1, (abs-h)/math.Abs(y-before))
	}
	s.side, s.edge = side, t
	return t, true
}

// lock tells whether timecode is being read: if so, a surge is a click.
func (s *slicer) lock(on bool) {
	s.surge = surge
	if on {
		s.surge = math.Inf(1)
	}
}

// takePeak returns the largest |y| between the last two edges.
func (s *slicer) takePeak() float64 {
	p := s.peak
	s.peak = 0
	return p
}
