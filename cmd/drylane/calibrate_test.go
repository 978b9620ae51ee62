package main

import (
	"context"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"drylane/playback/output"
	"drylane/show/drift"
	"drylane/show/timebase"
)

// TestMetronome lets somebody tap 40 ms early, in a bubble whose clock stands
// still while anybody works, and finds the 40 ms again.
func TestMetronome(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const bias = -40 * time.Millisecond
		out := output.Silent(output.Options{Rate: clickRate, Buffer: 50 * time.Millisecond, Speed: 1}, time.Now)
		defer out.Close()
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		keys, done := make(chan press), make(chan struct{})
		go func() {
			keys <- press{at: time.Now()} // before the first click: no tap
			began := time.Now()
			for i := range wantTaps {
				// A key is seen a little after it went down.
				time.Sleep(time.Until(began.Add(firstTick + time.Duration(i)*tickEvery + bias + time.Millisecond)))
				select {
				case keys <- press{at: time.Now().Add(-time.Millisecond)}:
				case <-done:
				}
			}
		}()
		counted := 0
		m := metronome{out: out, now: time.Now, wake: tick.C, keys: keys, progress: func(n int) { counted = n }}
		ticks, taps, err := m.run(t.Context())
		close(done)
		if err != nil || len(taps) != wantTaps || counted != wantTaps {
			t.Fatalf("%d taps, %d told, %v", len(taps), counted, err)
		}
		cal, err := drift.Calibrate(ticks, taps)
		if err != nil || (cal.Bias-bias).Abs() > time.Millisecond || cal.Used != wantTaps {
			t.Errorf("%+v, %v; want a bias of %s", cal, err, bias)
		}
	})
}

// TestMetronomeClicks: the clicks are where the ticks are said to be.
func TestMetronomeClicks(t *testing.T) {
	tape := &clickTape{}
	ctx, cancel := context.WithCancel(context.Background())
	cancel() // one look, then leave
	m := metronome{out: tape, now: time.Now}
	if _, _, err := m.run(ctx); !errors.Is(err, errLeft) {
		t.Fatal(err)
	}
	var starts []time.Duration
	quiet := 0
	for i, f := range tape.frames {
		switch loud := f[0] != 0 || f[1] != 0; {
		case loud && quiet > clickRate/10:
			starts = append(starts, timebase.Frame(i).At(clickRate))
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
func (c *clickTape) Space() int   { return 5*clickRate - len(c.frames) }
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

func TestPresses(t *testing.T) {
	at := time.Unix(1, 0)
	tap, quit := []press{{at, false}}, []press{{at, true}}
	tests := []struct {
		keys string
		want []press
	}{
		{" ", tap}, {"j", tap}, {"f", tap}, {"jf ", tap},
		{"q", quit}, {"\x03", quit}, {"\x1b", quit}, {"xq", quit},
		{"\x1b[A", nil}, {"\x1bj", nil}, {"x", nil}, {"", nil},
	}
	for _, tt := range tests {
		if got := presses([]byte(tt.keys), at); !slices.Equal(got, tt.want) {
			t.Errorf("%q: %v, want %v", tt.keys, got, tt.want)
		}
	}
}

// TestTerminalGone: when the keys end, so does the calibration.
func TestTerminalGone(t *testing.T) {
	keys, done := make(chan press), make(chan struct{})
	defer close(done)
	go readPresses(io.MultiReader(strings.NewReader(" ")), time.Now, keys, done)
	if a, b := <-keys, <-keys; a.quit || !b.quit {
		t.Errorf("%v, %v; want a tap, then the end", a, b)
	}
}

func TestParseTaps(t *testing.T) {
	tests := []struct {
		text string
		want []time.Duration
		err  string
	}{
		{"\ufeff# taps\n2.013\n\n 0:02.584 \r\n", []time.Duration{2013e6, 2584e6}, ""},
		{"2.0\n1.9", nil, "2: found 0:01.900 after 0:02.000; wanted the taps in the order in which they came"},
		{"2.0\n2.0", nil, "2: found 0:02.000 after"},
		{"2,0", nil, "1: found \"2,0\"; wanted seconds"},
		{"-1", nil, "1: found \"-1\""},
		{"", nil, " found no taps"},
		{"# none\n", nil, " found no taps"},
		{strings.Repeat("9", 70_000), nil, "1: found a line that does not read"},
	}
	for _, tt := range tests {
		got, err := parseTaps(strings.NewReader(tt.text))
		if !slices.Equal(got, tt.want) || (err == nil) != (tt.err == "") || err != nil && !strings.HasPrefix(err.Error(), tt.err) {
			t.Errorf("%.30q: %v, %v; want %v, %s", tt.text, got, err, tt.want, tt.err)
		}
	}
}

// FuzzParseTaps: what is read ascends and can be written and read again.
func FuzzParseTaps(f *testing.F) {
	f.Add("2.013\n2.584\n")
	f.Add("# x\n\ufeff1:02.5\n")
	f.Fuzz(func(t *testing.T, text string) {
		taps, err := parseTaps(strings.NewReader(text))
		if err != nil {
			if taps != nil || err.Error() == "" {
				t.Fatalf("%v with %v", taps, err)
			}
			return
		}
		var again strings.Builder
		for i, d := range taps {
			if d < 0 || i > 0 && d <= taps[i-1] {
				t.Fatalf("taps at %v", taps)
			}
			again.WriteString(timebase.ClockMillis(d) + "\n")
		}
		if back, err := parseTaps(strings.NewReader(again.String())); err != nil || !slices.Equal(back, taps) {
			t.Fatalf("%v read back as %v, %v", taps, back, err)
		}
	})
}
