package onset

import "math"

// The analysis, in units that hold for any sample rate.
const (
	windowFor = 0.0464 // seconds: 2048 frames at 44.1 kHz, as published
	// strengthHz is how many values of onset strength there are in a second.
	// Published: 200. With the peaks interpolated, half as many find as much.
	strengthHz = 100
	// lag is how many values back a rise is measured from, here 20 ms.
	// Published: the time in which the window passes half its height, 10 ms.
	lag = 2
	// fade is how fast what was heard in a band ceases to hide a softer onset
	// in it, in nepers a second: to the ear, too, a sound hides what follows it
	// within a tenth of a second or two (forward masking). It takes the more
	// from an echo the sooner it comes. From 17 to 20 the result is as good.
	fade = 20.0
	// memory is how many values back a block looks for what hides an onset:
	// by then it has faded by 55 dB.
	memory = 32 + lag

	// halveAbove is the least rate, in Hz, that music is brought down to:
	// twice the highest band.
	halveAbove = 20_000
)

// A layout says how the analysis lies on the frames of a soundtrack.
type layout struct {
	rate   int // of the soundtrack
	factor int // soundtrack frames in a sample that is analysed, a power of 2
	size   int // samples in a window
	hop    int // samples from one window to the next
}

func newLayout(rate int) layout {
	l := layout{rate: rate, factor: 1}
	for rate/(2*l.factor) >= halveAbove {
		l.factor *= 2
	}
	hz := l.hz()
	// A power of two keeps the transform fast; rather a shorter window, which
	// places onsets better.
	l.size = 1 << max(3, int(math.Log2(1.1*windowFor*hz)))
	l.hop = max(1, int(math.Round(hz/strengthHz)))
	return l
}

// hz is the rate of the samples that are analysed.
func (l layout) hz() float64 { return float64(l.rate) / float64(l.factor) }

// step is the soundtrack frames from one value of onset strength to the next.
func (l layout) step() int { return l.hop * l.factor }

// margin is how many soundtrack frames before and after the middle of a
// window its value is made of.
func (l layout) margin() int { return l.size/2*l.factor + halfBand*(l.factor-1) }

// need is how many frames n values are made of, and most how many a job has at most.
func (l layout) need(n int) int { return (n-1+memory+turnAhead)*l.step() + 2*l.margin() + l.factor }
func (l layout) most() int      { return l.need(blockValues+turnAhead) + handful }

// values turns seconds into a count of values, at least 1.
func (l layout) values(seconds float64) int {
	return max(1, int(math.Round(seconds*float64(l.rate)/float64(l.step()))))
}
