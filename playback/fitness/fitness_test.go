package fitness

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback/input"
	"drylane/playback/internal/dsp"
	"drylane/playback/output"
	"drylane/show/fitness"
	"drylane/testdata/reftest"
)

// TestFind: the click is found to a fraction of a frame, in noise, quiet and upside
// down, at the rate of whatever takes it in; and nowhere in noise alone.
func TestFind(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name        string
		rate        int
		at          int
		gain, noise float64
		found       bool
	}{
		{"alone", 48000, 5000, 0.03, 0, true},
		{"at another rate", 44100, 1234, 0.03, 0, true},
		{"upside down", 48000, 5000, -0.03, 0, true},
		{"in noise", 48000, 7001, 0.03, 0.01, true},
		{"drowned", 48000, 7001, 0.003, 0.1, false},
		{"none", 48000, 5000, 0, 0.1, false},
		{"silence", 48000, 5000, 0, 0, false},
		{"too early", 48000, 100, 0.03, 0, false},
		{"too late", 48000, 19000, 0.03, 0, false},
	}
	for _, tt := range tests {
		r := dsp.Rand(7)
		sound := make([]float64, 20000)
		for i := range sound {
			sound[i] = tt.noise * r.Bipolar()
		}
		for i, x := range click(tt.rate) {
			if tt.at+i < len(sound) {
				sound[tt.at+i] += tt.gain * x
			}
		}
		at, ok := find(sound, click(tt.rate), 1000, 15000)
		if ok != tt.found || ok && math.Abs(at-float64(tt.at)) > 2 {
			t.Errorf("%s: found %v at %.2f; wanted %v at %d", tt.name, ok, at, tt.found, tt.at)
		}
	}
}

// TestNoSound: without an output the timers and the clock are measured all the same.
func TestNoSound(t *testing.T) {
	t.Parallel()
	var f fitness.Figures
	if err := (&Run{Length: 200 * time.Millisecond}).Measure(t.Context(), &f); err != nil {
		t.Fatal(err)
	}
	if f.Sound != nil || f.Loop != nil || f.Timer == nil || f.Timer.Ticks < 1 || f.Timer.Worst < f.Timer.Late99 || f.Clock == nil {
		t.Errorf("measured %+v", f)
	}
}

// TestSlowTasksAreLate: a task that takes longer than a tick makes the next one late, by
// what was too much, and no more than that.
func TestSlowTasksAreLate(t *testing.T) {
	t.Parallel()
	var w watch
	n := 0
	err := w.every(t.Context(), 10*time.Second, func() error {
		if n++; n == 4 {
			return errPlaysNothing
		}
		for began := time.Now(); time.Since(began) < 40*time.Millisecond; {
		}
		return nil
	})
	if err != errPlaysNothing || len(w.late) != 4 {
		t.Fatalf("%v after %d ticks; wanted what the task said, after 4", err, len(w.late))
	}
	for i, late := range w.late[1:] {
		if late < 35*time.Millisecond {
			t.Errorf("tick %d was %v late; wanted 35 ms or more, of 40 that the task before it took", i+2, late)
		}
	}
}

// TestStopped: a run that is stopped says so, and gives no figures.
func TestStopped(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var f fitness.Figures
	if err := (&Run{Length: time.Hour}).Measure(ctx, &f); err != context.Canceled || f.Timer != nil {
		t.Errorf("got %v, %+v", err, f)
	}
}

// TestClockStep: the largest step counts, forward or back.
func TestClockStep(t *testing.T) {
	t.Parallel()
	began := time.Now()
	w := watch{began: began, last: began}
	w.see(began.Add(1500 * time.Millisecond))
	for _, tt := range []struct{ day, clock, step time.Duration }{
		{1000, 1000, 0}, {1003, 1000, 3}, {1700, 1000, 700}, {900, 1000, 700}, {200, 1000, -800}, {1000, 1000, -800},
	} {
		w.passed(tt.day*time.Millisecond, tt.clock*time.Millisecond)
		if got := time.Duration(w.clock().Step); got != tt.step*time.Millisecond {
			t.Errorf("after %d ms in %d: found a step of %v; wanted %d ms", tt.day, tt.clock, got, tt.step)
		}
	}
}

// TestDisk: lines are written and synced, and no file is left.
func TestDisk(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "a", "b")
	d, err := Disk(t.Context(), dir)
	if err != nil || d.Syncs != syncs || d.Median <= 0 || d.Worst < d.Median {
		t.Errorf("measured %+v, %v", d, err)
	}
	if list, err := os.ReadDir(dir); err != nil || len(list) != 0 {
		t.Errorf("%d files are left, %v", len(list), err)
	}
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Disk(t.Context(), filepath.Join(file, "below")); err == nil {
		t.Error("found a folder below a file; wanted an error")
	}
}

// TestRealTimeLoop: on a private sound server every click is found again where the
// output says it is. A device that keeps the sound 30 ms longer than it tells is found
// out, by so much and that way round; and a monitor is no microphone, but a source of
// its own is.
func TestRealTimeLoop(t *testing.T) {
	reftest.RealTime(t)
	if testing.Short() {
		t.Skip("plays for some 15 s")
	}
	pulse := reftest.StartPulse(t, 44100)
	o := output.Options{Rate: Rate, Server: pulse.Server}
	loop := loopOf(t, o, fitness.Monitor)
	if time.Duration(loop.Late).Abs() > 10*time.Millisecond || time.Duration(loop.Spread) > 5*time.Millisecond {
		t.Errorf("%+v; wanted it within 10 ms of where the output says and 5 ms of each other", loop)
	}
	untold := o
	untold.Latency = -30 * time.Millisecond
	if late := time.Duration(loopOf(t, untold, fitness.Monitor).Late); late < 20*time.Millisecond || late > 40*time.Millisecond {
		t.Errorf("%v late; wanted some 30 ms", late)
	}
	if ear, err := input.Device(Listening(o, fitness.Microphone)); err == nil {
		t.Errorf("found the microphone %s; wanted none", ear.Name())
		ear.Close()
	}
	pulse.Control(t, "load-module", "module-remap-source", "master="+pulse.Monitor, "source_name=room", "source_properties=device.description=Room")
	pulse.Control(t, "set-default-source", "room")
	loopOf(t, o, fitness.Microphone)
}

// loopOf plays for 3 s, and again where the machine was late. Every click must be
// found.
func loopOf(t *testing.T, o output.Options, by fitness.By) (loop *fitness.Loop) {
	t.Helper()
	for range reftest.Tries {
		out, err := output.Device(o)
		if err != nil {
			t.Fatal(err)
		}
		ear, err := input.Device(Listening(o, by))
		if err != nil {
			t.Fatal(err)
		}
		var f fitness.Figures
		err = (&Run{Out: out, Ear: ear, By: by, Length: 3 * time.Second}).Measure(t.Context(), &f)
		if err := errors.Join(err, ear.Close(), out.Close()); err != nil {
			t.Fatal(err)
		}
		loop = f.Loop
		t.Logf("%+v, %+v, %+v", loop, f.Sound, f.Timer)
		if f.Sound.Underruns == 0 && f.Timer.Worst < fitness.Milliseconds(50*time.Millisecond) {
			break
		}
	}
	if loop.Sent < 4 || loop.Found < loop.Sent || loop.By != by {
		t.Errorf("%+v; wanted every click, by the %s", loop, by)
	}
	return loop
}
