package bangs

import (
	"context"
	"math"

	"drylane/playback/internal/dsp"
)

const (
	window = 128 // samples that are looked at at once
	hop    = 32
	bands  = 12
	// blockFrames are looked at together: the time over which what the music is worth
	// in the recording is taken to be the same.
	blockFrames = 8 * Hz / hop
)

// edges are the bins of the bands: 62.5 Hz each, the first bin is one of the first
// band, the last is that before the last edge.
var edges = [bands + 1]int{1, 2, 3, 4, 5, 7, 9, 12, 16, 22, 30, 42, 63}

// A frame is the power in the bands at one moment.
type frame [bands]float32

// A banded is sound taken apart into bands, block by block.
type banded struct {
	from   Source
	sound  []float32 // what is left of before
	fft    *dsp.Transform
	shape  [window]float64
	in     []float64
	out    []float64
	ended  bool
	frames []frame
}

func newBands(from Source) *banded {
	b := &banded{from: from, fft: dsp.NewTransform(window), in: make([]float64, window), out: make([]float64, window/2)}
	for i := range b.shape {
		b.shape[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/window)
	}
	return b
}

// block returns the next blockFrames frames, fewer at the end. They are good until the
// next call. Frame n of all lies about sample n*hop + window/2.
func (b *banded) block(ctx context.Context) ([]frame, error) {
	need := (blockFrames-1)*hop + window
	if have := len(b.sound); !b.ended {
		b.sound = append(b.sound, make([]float32, need-have)...)
		for have < need {
			n, err := b.from.Read(ctx, b.sound[have:])
			if err != nil {
				return nil, err
			}
			if have += n; n == 0 {
				b.ended = true
				break
			}
		}
		b.sound = b.sound[:have]
	}
	b.frames = b.frames[:0]
	at := 0
	for ; at+window <= len(b.sound) && len(b.frames) < blockFrames; at += hop {
		b.frames = append(b.frames, b.look(b.sound[at:at+window]))
	}
	b.sound = b.sound[:copy(b.sound, b.sound[min(at, len(b.sound)):])]
	return b.frames, nil
}

// look takes one window apart.
func (b *banded) look(x []float32) (f frame) {
	for i, v := range x {
		b.in[i] = float64(v) * b.shape[i]
	}
	b.fft.Magnitudes(b.out, b.in)
	for k := range f {
		sum := 0.0
		for _, m := range b.out[edges[k]:edges[k+1]] {
			sum += m * m
		}
		f[k] = float32(sum)
	}
	return f
}
