package loudness

import (
	"context"
	"fmt"
	"time"

	"github.com/faiface/beep"
)

// Measure reads s to its end and measures it, in the same way and with the
// same result as a Meter, but with the peaks on a second goroutine, which is
// faster where a core is free. It has ended by the time Measure returns.
//
// An error is the stream's own, with the place it broke off, or ctx's.
func Measure(ctx context.Context, s beep.Streamer, rate, channels int, o Options) (Result, error) {
	m, err := New(rate, channels, o)
	if err != nil {
		return Result{}, err
	}
	// Blocks go round: filled here, shared with the peaks while the levels
	// are taken, and given back when the peaks are done with them.
	const blocks = 3
	free, full := make(chan *block, blocks), make(chan *block, blocks)
	free <- m.block
	for range blocks - 1 {
		free <- newBlock(channels)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for b := range full {
			m.peaks.add(b)
			free <- b
		}
	}()
	err = m.levels.read(ctx, s, free, full)
	close(full)
	<-done
	if err != nil {
		return Result{}, err
	}
	return m.Result(), nil
}

// read takes blocks from free, fills them from s, passes them on to full and
// measures them, until s ends.
func (l *levels) read(ctx context.Context, s beep.Streamer, free <-chan *block, full chan<- *block) error {
	var frames [blockFrames][2]float64
	for ctx.Err() == nil {
		n, ok := s.Stream(frames[:])
		if !ok {
			if err := s.Err(); err != nil {
				at := time.Duration(l.frames*1000/int64(l.rate)) * time.Millisecond
				return fmt.Errorf("loudness: the sound breaks off at %v: %w", at, err)
			}
			return nil
		}
		b := <-free
		b.fill(frames[:n])
		full <- b
		l.add(b)
	}
	return ctx.Err()
}
