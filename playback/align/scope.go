package align

import (
	"math"

	"drylane/playback/internal/dsp"
)

// searchReach is how far, in seconds, the waveform is searched about a line of
// the coarse search: that line is good to a feature frame or two.
const searchReach = 0.060

// settledReach is how far it is searched about a line from the waveform itself.
const settledReach = 0.020

// The band that is compared, in Hz; its top is lower for low sample rates.
const (
	bandLow  = 60
	bandHigh = 4400
	bandTop  = 0.40 // of the lower sample rate: what the decimator leaves clean
)

// leastWidth is how much of the spectrum, in Hz, must carry energy in a window
// for it to have a place in time: a steady tone or two have none.
const leastWidth = 100

// floor60 is -60 dB as a ratio of powers: what counts towards leastWidth.
const floor60 = 1e-6

// soundFloor is how far under a track's level a window still counts: -40 dB.
const soundFloor = 0.01

// A reading is what one window says.
type reading struct {
	at       float64 // centre, seconds of A
	lag      float64 // seconds of B by which B is later than the line
	share    float64 // -1..1: correlation of the two at that lag, band by band
	gain     float64 // of B's copy of the music, a ratio of amplitudes
	polarity float64 // +1 or -1
	counts   bool    // enough sound, and wide enough, in one of the two
}

// A scope measures windows of A against B. It is not safe for concurrent use.
type scope struct {
	a, b   *track
	n      int // samples of A in a window
	phat   *phat
	window []float64
	wa, wb []float64
}

func newScope(a, b *track, n int) *scope {
	return &scope{
		a: a, b: b, n: n, phat: newPhat(n, int(searchReach*a.hz())+1),
		window: hann(n), wa: make([]float64, n), wb: make([]float64, n),
	}
}

// read measures the window about moment t of A, reading B along l, at lags up
// to reach seconds.
func (s *scope) read(l line, t, reach float64) reading {
	hz := s.a.hz()
	first := int(t*hz) - s.n/2
	t = float64(first+s.n/2) / hz
	for i := range s.wa {
		s.wa[i] = 0
		if j := first + i; j >= 0 && j < len(s.a.mid) {
			s.wa[i] = float64(s.a.mid[j])
		}
	}
	readAt(s.wb, s.b.mid, l.at(float64(first)/hz)*s.b.hz(), l.ratio*s.b.hz()/hz)
	loudA := dsp.RMS(s.wa) > soundFloor*s.a.level
	loudB := dsp.RMS(s.wb) > soundFloor*s.b.level
	for i, w := range s.window {
		s.wa[i] *= w
		s.wb[i] *= w
	}
	lo, hi, binHz := s.bins(l)
	s.phat.correlate(s.wb, s.wa, lo, hi)
	wide := int(leastWidth / binHz)
	r := reading{at: t, polarity: 1}
	r.counts = loudA && width(s.phat.f2[lo:hi]) >= wide || loudB && width(s.phat.f1[lo:hi]) >= wide
	if !r.counts || !loudA || !loudB {
		return r
	}
	lag, value := s.phat.peak(int(reach * hz))
	r.lag = lag / hz * l.ratio
	r.polarity = math.Copysign(1, value)
	r.share, r.gain = s.share(lag, lo, hi, binHz)
	r.share *= r.polarity
	return r
}

// bins returns the range of bins to compare, and their width.
func (s *scope) bins(l line) (lo, hi int, binHz float64) {
	hz := s.a.hz()
	binHz = hz / float64(s.phat.size)
	top := min(bandHigh, bandTop*hz, bandTop*s.b.hz()*l.ratio)
	return int(bandLow/binHz) + 1, int(top / binHz), binHz
}

// share returns the correlation of the spectra at a lag, averaged over
// third-octave bands, and B's gain. Per band it is blind to level, and so an
// equaliser does not matter; louder bands count for more, but only by the
// fourth root of their power, so that one drum does not speak for all.
func (s *scope) share(lag float64, lo, hi int, binHz float64) (share, gain float64) {
	third := math.Cbrt(2)
	var sum, weights, both, own float64
	turn := 2 * math.Pi * lag / float64(s.phat.size)
	for k := lo; k < hi; {
		end := min(hi, max(k+8, int(float64(k)*third)))
		rot := complex(math.Cos(turn*float64(k)), math.Sin(turn*float64(k)))
		step := complex(math.Cos(turn), math.Sin(turn))
		var cross, eb, ea float64
		for ; k < end; k++ {
			b, a := s.phat.f1[k], s.phat.f2[k]
			cross += real(b * complex(real(a), -imag(a)) * rot)
			eb += power(b)
			ea += power(a)
			rot *= step
		}
		both += cross
		own += ea
		if ea > 0 && eb > 0 {
			w := math.Pow(ea*eb, 0.125)
			sum += w * cross / math.Sqrt(ea*eb)
			weights += w
		}
	}
	if weights == 0 || own == 0 {
		return 0, 0
	}
	return sum / weights, math.Abs(both) / own
}

// width counts the bins within 60 dB of the loudest.
func width(f []complex128) int {
	least := floor60 * loudest(f)
	n := 0
	for _, c := range f {
		if power(c) > least {
			n++
		}
	}
	return n
}
