package main

import (
	"bytes"
	"math"
	"math/cmplx"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"drylane/playback/internal/demo/score"
	"drylane/playback/wavtest"
	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

// from returns the rendered frames of a stretch of time.
func from(at, length time.Duration) [][2]float64 {
	first := timebase.FrameAt(at, score.Rate)
	return rendered()[first : first+timebase.FrameAt(length, score.Rate)]
}

func rms(frames [][2]float64) float64 {
	sum := 0.0
	for _, f := range frames {
		sum += f[0]*f[0] + f[1]*f[1]
	}
	return 10 * math.Log10(sum/float64(2*len(frames))+1e-12)
}

func TestDemoLevels(t *testing.T) {
	t.Parallel()
	frames := rendered()
	if len(frames) != 135*score.Rate {
		t.Fatalf("the piece has %d frames, want 135 s", len(frames))
	}
	highest, offset := 0.0, [2]float64{}
	for _, f := range frames {
		for c, x := range f {
			highest = max(highest, math.Abs(x))
			offset[c] += x / float64(len(frames))
		}
	}
	if db := 20 * math.Log10(highest); math.Abs(db+1) > 0.05 {
		t.Errorf("the peak is %.2f dBFS, want -1", db)
	}
	if max(math.Abs(offset[0]), math.Abs(offset[1])) > 1e-4 {
		t.Errorf("the mean is %g and %g, want 0", offset[0], offset[1])
	}
	slow, theme, finale := rms(from(74*time.Second, 23*time.Second)), rms(from(22800*time.Millisecond, 25*time.Second)), rms(from(110*time.Second, 19*time.Second))
	if slow > theme-3 || theme > finale-1 {
		t.Errorf("slow, theme and finale have %.1f, %.1f and %.1f dB, want each clearly louder than the last", slow, theme, finale)
	}
	if end := rms(frames[len(frames)-score.Rate/10:]); end > -60 {
		t.Errorf("the piece ends at %.1f dB, want silence", end)
	}
}

// The witness is a sine of 1 kHz, -12 dBFS, from 5.0 s for half a second.
func TestDemoWitness(t *testing.T) {
	t.Parallel()
	const window = 50 * time.Millisecond
	level := func(at time.Duration) float64 {
		var sum complex128
		frames := from(at, window)
		for i, f := range frames {
			sum += complex(f[0]+f[1], 0) * cmplx.Exp(complex(0, -2*math.Pi*1000*float64(i)/score.Rate))
		}
		return 20 * math.Log10(cmplx.Abs(sum)/float64(len(frames)))
	}
	for at := 5010 * time.Millisecond; at < 5450*time.Millisecond; at += window {
		if got := level(at); math.Abs(got+12) > 0.5 {
			t.Errorf("at %v there are %.1f dBFS at 1 kHz, want -12", at, got)
		}
	}
	for _, at := range []time.Duration{4 * time.Second, 4950 * time.Millisecond, 5500 * time.Millisecond, 6 * time.Second} {
		if got := level(at); got > -50 {
			t.Errorf("at %v there are %.1f dBFS at 1 kHz, want silence there", at, got)
		}
	}
}

// At every accent of the drums the level above 1 kHz (taken by differences)
// jumps within 10 ms.
func TestDemoAccentsAreThere(t *testing.T) {
	t.Parallel()
	const window = 10 * time.Millisecond
	bright := func(at time.Duration) float64 {
		frames := from(at, window)
		sum := 0.0
		for i := 1; i < len(frames); i++ {
			d := frames[i][0] + frames[i][1] - frames[i-1][0] - frames[i-1][1]
			sum += d * d
		}
		return 10 * math.Log10(sum)
	}
	for _, a := range piece().Accents {
		at := a.At.At(score.Rate)
		if rise := bright(at) - bright(at-window); a.Level >= score.Run && rise < 3 {
			t.Errorf("the %v accent of %s at %v rises by %.1f dB, want 3", a.Level, a.Section, at, rise)
		}
	}
}

// aubio (onset detection function hfc, its default) hears the accents where the
// score has them: all of the drums' and most of the bells' within 50 ms, the
// usual window of onset evaluation.
func TestDemoAccentsByAubio(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	program := reftest.Tool(t, "aubioonset")
	out, err := exec.Command(program, "-O", "hfc", writeDemoWAV(t)).Output()
	if err != nil {
		t.Fatal(err)
	}
	var heard []float64
	for _, field := range bytes.Fields(out) {
		at, err := strconv.ParseFloat(string(field), 64)
		if err != nil {
			t.Fatal(err)
		}
		heard = append(heard, at)
	}
	missed := make(map[score.Level]int)
	for _, a := range piece().Accents {
		at := float64(a.At) / score.Rate
		i, _ := slices.BinarySearch(heard, at-0.05)
		if i == len(heard) || heard[i] > at+0.05 {
			missed[a.Level]++
		}
	}
	if n := missed[score.Run] + missed[score.Strong] + missed[score.Full]; n > 0 || missed[score.Soft] > 3 {
		t.Errorf("aubio misses these accents: %v", missed)
	}
}

// writeDemoWAV renders the piece into a file.
func writeDemoWAV(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "soundtrack.wav")
	wavtest.Write(t, name, score.Rate, 2, rendered())
	return name
}
