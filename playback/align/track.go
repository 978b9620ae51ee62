package align

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"
)

// A track is what is kept of one file: what an ear makes of it at a low rate, for
// all measurements, and its two sides at a quarter of that, to tell one from the
// other. Sample k of mid lies at frame k*step of the file.
type track struct {
	rate  int // frames a second of the file
	step  int // frames for each sample of mid
	mid   []float32
	sides [2][]float32 // left and right, averaged over the frames from k*step*sideDecimation on
	level float64      // RMS of mid in the loud parts, 0..1

	features func() *features // for the coarse search, worked out once
}

const sideDecimation = 4 // samples of mid for each of sides

// hz is the rate of mid; sideHz that of sides.
func (t *track) hz() float64     { return float64(t.rate) / float64(t.step) }
func (t *track) sideHz() float64 { return t.hz() / sideDecimation }

// seconds is the track's length.
func (t *track) seconds() float64 { return float64(len(t.mid)) / t.hz() }

// silenceLevel is -70 dBFS: below it there is no music, only noise.
const silenceLevel = 0.000316

// readTrack reads the whole of a.
func readTrack(ctx context.Context, a Audio, e ear, progress func(float64)) (*track, error) {
	rate := a.Rate()
	if rate < 4000 || rate > 1_000_000 {
		return nil, fmt.Errorf("the sample rate is %d Hz, want 4000 to 1000000", rate)
	}
	if a.Position() != 0 {
		if err := a.Seek(0); err != nil {
			return nil, fmt.Errorf("going back to the start: %w", err)
		}
	}
	r := newReader(rate, e)
	chunk := make([][2]float64, 8192)
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		n, ok := a.Stream(chunk)
		if err := r.take(chunk[:n]); err != nil {
			return nil, err
		}
		if !ok {
			break
		}
		if total := a.Len(); total > 0 && r.frames <= int64(total) {
			progress(float64(n) / float64(total))
		}
	}
	if err := a.Err(); err != nil {
		return nil, err
	}
	return r.track(), nil
}

// A reader turns frames into a track.
type reader struct {
	rate   int
	ear    ear
	frames int64
	mid    *decimator
	mono   []float64
	sides  [2][]float32
	sum    [2]float64 // of the sides since the last ones kept
	inSum  int
}

func newReader(rate int, e ear) *reader {
	return &reader{rate: rate, ear: e, mid: newDecimator(decimationFor(rate))}
}

func (r *reader) take(frames [][2]float64) error {
	r.mono = r.mono[:0]
	block := r.mid.step * sideDecimation
	for i, f := range frames {
		m := r.ear[0]*f[0] + r.ear[1]*f[1]
		if bad := f[0] + f[1]; bad-bad != 0 { // NaN and both infinities
			return fmt.Errorf("frame %d is not a number but %v, %v: the file is damaged", r.frames+int64(i), f[0], f[1])
		}
		r.mono = append(r.mono, m)
		r.sum[0] += f[0]
		r.sum[1] += f[1]
		if r.inSum++; r.inSum == block {
			for ch, sum := range r.sum {
				r.sides[ch] = append(r.sides[ch], float32(sum/float64(block)))
			}
			r.sum, r.inSum = [2]float64{}, 0
		}
	}
	r.frames += int64(len(frames))
	if r.frames/int64(r.rate) > int64(maxLength/time.Second) {
		return fmt.Errorf("it is longer than %v", maxLength)
	}
	r.mid.push(r.mono)
	return nil
}

func (r *reader) track() *track {
	r.mid.flush()
	t := &track{rate: r.rate, step: r.mid.step, mid: r.mid.out, sides: r.sides}
	t.level = loudLevel(t.mid, int(t.hz()))
	t.features = sync.OnceValue(func() *features { return featuresOf(t) })
	return t
}

// loudLevel is the RMS that a tenth of the blocks of n samples reach: the level
// of the loud parts, whatever part of the track is silent.
func loudLevel(x []float32, n int) float64 {
	var blocks []float64
	for ; len(x) > 0; x = x[min(n, len(x)):] {
		sum := 0.0
		block := x[:min(n, len(x))]
		for _, v := range block {
			sum += float64(v) * float64(v)
		}
		blocks = append(blocks, math.Sqrt(sum/float64(len(block))))
	}
	if len(blocks) == 0 {
		return 0
	}
	slices.Sort(blocks)
	return blocks[len(blocks)*9/10]
}
