package align

import (
	"drylane/playback/internal/window"
)

// minRate is the lowest rate, in Hz, that decimation goes down to. It leaves a
// usable band of 4 kHz, enough to place a window to some microseconds.
const minRate = 10000

// decimationFor returns the whole number to divide rate by.
func decimationFor(rate int) int { return max(1, rate/minRate) }

// A decimator keeps one frame in step after a low-pass filter. The filter has
// linear phase and its delay is taken out: output k lies at input k*step.
type decimator struct {
	step  int
	half  int       // taps either side of the centre one
	taps  []float64 // centre tap, then one side
	buf   []float64 // input from `half` before the next centre on
	frame int64     // input frames pushed
	out   []float32
}

// newDecimator makes a filter whose pass band ends at 0.36 of the output rate
// and which is 50 dB down or more at frequencies that would fold back below 0.4 of it.
func newDecimator(step int) *decimator {
	d := &decimator{step: step, half: 8 * step}
	d.taps = make([]float64, d.half+1)
	cut := 0.47 / float64(step)
	sum := 0.0
	for i := range d.taps {
		x := float64(i)
		d.taps[i] = 2 * cut * window.Sinc(2*cut*x) * window.Kaiser(x/float64(d.half+1), 5.65)
		sum += d.taps[i]
		if i > 0 {
			sum += d.taps[i]
		}
	}
	for i := range d.taps {
		d.taps[i] /= sum
	}
	d.buf = make([]float64, d.half) // silence before the first frame
	return d
}

// push takes the next input frames.
func (d *decimator) push(in []float64) {
	d.frame += int64(len(in))
	d.buf = append(d.buf, in...)
	d.run(len(d.buf))
}

// flush puts out what lies within half a filter of the end.
func (d *decimator) flush() {
	end := len(d.buf) // no centre beyond the last frame
	d.buf = append(d.buf, make([]float64, d.half)...)
	d.run(end + d.half)
}

func (d *decimator) run(n int) {
	c := d.half
	for ; c+d.half < n; c += d.step {
		v := d.taps[0] * d.buf[c]
		lo, hi := d.buf[c-d.half:c], d.buf[c+1:c+1+d.half]
		taps := d.taps[1 : 1+len(hi)]
		for i, h := range taps {
			v += h * (lo[len(lo)-1-i] + hi[i])
		}
		d.out = append(d.out, float32(v))
	}
	d.buf = append(d.buf[:0], d.buf[c-d.half:]...)
}
