package locate

import (
	"fmt"
	"math"

	"drylane/playback/internal/window"
)

// A Narrow makes mono sound at Rate of two channels at any rate, without moving it in
// time: sample k lies at frame k*rate/Rate. It is a windowed sinc whose pass band ends at
// 3.3 kHz, tabulated at some places between two frames; it belongs to one goroutine and,
// once it has run for a while, allocates nothing.
type Narrow struct {
	step   float64 // frames for a sample
	half   int     // frames either side that a sample depends on
	table  [][]float32
	frames []float32 // from number first on
	first  int64
	next   int64 // sample
}

const (
	narrowPhases    = 256
	narrowCrossings = 8 // of the sinc, either side
)

// The rates that a Narrow takes, frames a second.
const (
	leastRate = 4000
	mostRate  = 1_000_000
)

// NewNarrow makes one for sound of so many frames a second.
func NewNarrow(rate int) (*Narrow, error) {
	if rate < leastRate || rate > mostRate {
		return nil, fmt.Errorf("the sample rate is %d Hz; wanted %d to %d", rate, leastRate, mostRate)
	}
	n := &Narrow{step: float64(rate) / Rate}
	wide := max(1, n.step) // of a crossing, in frames
	n.half = int(math.Ceil(narrowCrossings * wide))
	for p := range narrowPhases + 1 {
		taps := make([]float32, 2*n.half)
		for i := range taps {
			x := float64(i-n.half+1) - float64(p)/narrowPhases
			taps[i] = float32(window.Sinc(x/wide) * window.Kaiser(x/(narrowCrossings*wide), 5.65) / wide)
		}
		n.table = append(n.table, taps)
	}
	n.frames, n.first = make([]float32, n.half), -int64(n.half) // silence before frame 0
	return n, nil
}

// Write takes the next frames and appends to dst the samples that they complete. A frame
// that is no number counts as silence.
func (n *Narrow) Write(dst []float32, frames [][2]float64) []float32 {
	for _, f := range frames {
		m := float32(f[0]+f[1]) / 2
		if m-m != 0 {
			m = 0
		}
		n.frames = append(n.frames, m)
	}
	return n.run(dst)
}

// Flush is Write of the silence that completes the samples up to the last frame.
func (n *Narrow) Flush(dst []float32) []float32 {
	n.frames = append(n.frames, make([]float32, n.half)...)
	return n.run(dst)
}

func (n *Narrow) run(dst []float32) []float32 {
	for {
		at := float64(n.next) * n.step
		whole := math.Floor(at)
		from := int(int64(whole) - int64(n.half) + 1 - n.first)
		if from+2*n.half > len(n.frames) {
			break
		}
		taps := n.table[int((at-whole)*narrowPhases+0.5)]
		v := float32(0)
		for i, x := range n.frames[from : from+2*n.half] {
			v += taps[i] * x
		}
		dst = append(dst, v)
		n.next++
	}
	n.forget()
	return dst
}

// forget drops the frames that no sample depends on any more.
func (n *Narrow) forget() {
	drop := int(int64(float64(n.next)*n.step) - int64(n.half) + 1 - n.first)
	if drop = min(drop, len(n.frames)); drop > 0 {
		n.frames = n.frames[:copy(n.frames, n.frames[drop:])]
		n.first += int64(drop)
	}
}
