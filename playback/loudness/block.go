package loudness

import "math"

// blockFrames is the most frames a block holds.
const blockFrames = 4096

// maxSample is the largest magnitude that is still taken for sound, 120 dB
// over full scale. Beyond it, and at infinities and NaN, a float file is broken.
const maxSample = 1e6

// A block is a run of frames, one slice a channel, with broken samples
// replaced by silence.
type block struct {
	channels int
	n        int
	broken   int64 // frames with a broken sample
	left     [blockFrames]float64
	right    [blockFrames]float64 // silence for a mono stream
}

func newBlock(channels int) *block { return &block{channels: channels} }

// fill takes over as many frames as the block holds and returns how many.
func (b *block) fill(frames [][2]float64) int {
	b.n = split(&b.left, &b.right, frames)
	if b.channels == 1 {
		clear(b.right[:b.n])
	}
	b.broken = 0
	for i := range b.n {
		// The comparison is false for NaN as well.
		if math.Abs(b.left[i]) <= maxSample && math.Abs(b.right[i]) <= maxSample {
			continue
		}
		b.broken++
		b.left[i], b.right[i] = whole(b.left[i]), whole(b.right[i])
	}
	return b.n
}

// split copies as many frames as fit, one slice a channel, and returns how many.
func split(left, right *[blockFrames]float64, frames [][2]float64) int {
	n := min(len(frames), blockFrames)
	for i, f := range frames[:n] {
		left[i], right[i] = f[0], f[1]
	}
	return n
}

// whole returns v, or 0 if v is broken.
func whole(v float64) float64 {
	if math.Abs(v) <= maxSample {
		return v
	}
	return 0
}

// channel returns the samples of channel c.
func (b *block) channel(c int) []float64 {
	if c == 0 {
		return b.left[:b.n]
	}
	return b.right[:b.n]
}
