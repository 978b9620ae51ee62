package metronome

import (
	"context"
	"errors"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"drylane/playback/output"
	"drylane/show/timebase"
)

// TestPlay lets somebody tap 40 ms early, in a bubble whose clock stands still
// while anybody works, and finds each tap 40 ms before its click.
func TestPlay(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		const bias = -40 * time.Millisecond
		out := output.Silent(output.Options{Rate: Rate, Buffer: 50 * time.Millisecond, Speed: 1}, time.Now)
		defer out.Close()
		taps, done := make(chan time.Time), make(chan struct{})
		go func() {
			taps <- time.Now() // before the first click: no tap
			began := time.Now()
			for i := range Wanted {
				// A key is seen a little after it went down.
				time.Sleep(time.Until(began.Add(First + time.Duration(i)*Every + bias + time.Millisecond)))
				select {
				case taps <- time.Now().Add(-time.Millisecond):
				case <-done:
				}
			}
		}()
		counted := 0
		clicks, heard, err := Play(t.Context(), out, taps, func(n int) { counted = n })
		close(done)
		if err != nil || len(heard) != Wanted || counted != Wanted || len(clicks) != Wanted {
			t.Fatalf("%d clicks, %d taps, %d told, %v", len(clicks), len(heard), counted, err)
		}
		for i := range heard {
			if off := heard[i] - clicks[i]; (off - bias).Abs() > time.Millisecond {
				t.Errorf("tap %d lies %s off its click, want %s", i+1, off, bias)
			}
		}
	})
}

// TestFirstClicksMissed: who lets the first clicks go, to find the beat, and now and
// then misses one still gets to all the taps that are wanted.
func TestFirstClicksMissed(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		out := output.Silent(output.Options{Rate: Rate, Buffer: 50 * time.Millisecond, Speed: 1}, time.Now)
		defer out.Close()
		taps, done := make(chan time.Time), make(chan struct{})
		go func() {
			began := time.Now()
			for i := 4; ; i++ {
				if i%4 == 3 {
					continue
				}
				select {
				case now := <-time.After(time.Until(began.Add(First + time.Duration(i)*Every))):
					taps <- now
				case <-done:
					return
				}
			}
		}()
		clicks, heard, err := Play(t.Context(), out, taps, func(int) {})
		close(done)
		if err != nil || len(heard) != Wanted || len(clicks) < Wanted+4 {
			t.Errorf("%d clicks, %d taps, %v", len(clicks), len(heard), err)
		}
	})
}

// TestClicks: the clicks are where they are said to be.
func TestClicks(t *testing.T) {
	t.Parallel()
	tape := &clickTape{}
	ctx, cancel := context.WithCancel(t.Context())
	cancel() // one look, then leave
	if _, _, err := Play(ctx, tape, nil, nil); !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	var starts []time.Duration
	quiet := 0
	for i, f := range tape.frames {
		switch loud := f[0] != 0 || f[1] != 0; {
		case loud && quiet > Rate/10:
			starts = append(starts, timebase.Frame(i).At(Rate))
			quiet = 0
		case loud:
			quiet = 0
		default:
			quiet++
		}
	}
	if want := []time.Duration{2000e6, 2600e6, 3200e6, 3800e6, 4400e6}; !slices.Equal(starts, want) {
		t.Errorf("clicks at %v, want %v", starts, want)
	}
}

// A clickTape takes five seconds of sound.
type clickTape struct{ frames [][2]float64 }

func (c *clickTape) Name() string { return "tape" }
func (c *clickTape) Space() int   { return 5*Rate - len(c.frames) }
func (c *clickTape) Write(f [][2]float64) error {
	c.frames = append(c.frames, f...)
	return nil
}
func (c *clickTape) Start() error           { return nil }
func (c *clickTape) Heard() (int64, error)  { return 0, nil }
func (c *clickTape) Hold() (int64, error)   { return 0, nil }
func (c *clickTape) Latency() time.Duration { return 0 }
func (c *clickTape) Underruns() int         { return 0 }
func (c *clickTape) Close() error           { return nil }
