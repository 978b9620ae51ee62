package ltc

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// sound returns n samples of timecode as c says, on one channel.
func sound(t testing.TB, c Config, n int) []float64 {
	t.Helper()
	c.Length = n
	e, err := NewEncoder(c)
	if err != nil {
		t.Fatal(err)
	}
	return channel(t, e)
}

// channel reads the left channel of e to its end.
func channel(t testing.TB, e *Encoder) []float64 {
	t.Helper()
	var mono []float64
	var buf [479][2]float64
	for {
		n, ok := e.Stream(buf[:])
		if !ok {
			return mono
		}
		for _, f := range buf[:n] {
			if f[0] != f[1] {
				t.Fatal("the channels differ")
			}
			mono = append(mono, f[0])
		}
	}
}

// frameSound returns count frames of timecode, whole.
func frameSound(t testing.TB, c Config, count int64) []float64 {
	t.Helper()
	return sound(t, c, int(c.Rate.Sample(count, c.SampleRate)))
}

// decode returns the frames in samples.
func decode(t testing.TB, samples []float64, rate int) []Frame {
	t.Helper()
	var found []Frame
	d, err := NewDecoder(rate, func(f Frame) { found = append(found, f) })
	if err != nil {
		t.Fatal(err)
	}
	for len(samples) > 0 { // in odd pieces
		n := min(len(samples), 1013)
		d.Write(samples[:n])
		samples = samples[n:]
	}
	d.Flush()
	return found
}

// wantRun fails unless found are the labels from start on, all of them, each
// starting within tol samples of where rate puts it, times speed, after
// offset.
func wantRun(t testing.TB, found []Frame, r timebase.Rate, start timebase.Timecode, count int, sampleRate int, offset, tol float64) {
	t.Helper()
	first, err := r.Index(start)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range found {
		if want := r.Timecode(first + int64(i)); f.Timecode != want || f.Reverse {
			t.Fatalf("frame %d is %s (reverse %v), want %s", i, f.Timecode, f.Reverse, want)
		}
		want := offset + float64(i)*float64(sampleRate)/r.FPS()
		if math.Abs(f.Start-want) > tol {
			t.Fatalf("frame %d (%s) starts at sample %.3f, want %.3f", i, f.Timecode, f.Start, want)
		}
	}
	if len(found) != count {
		t.Fatalf("%d frames found, want %d", len(found), count)
	}
}

// wantBackwards fails unless found are count labels running back from last,
// in a stream that is count frames long.
func wantBackwards(t testing.TB, found []Frame, r timebase.Rate, start timebase.Timecode, count int) {
	t.Helper()
	first, err := r.Index(start)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range found {
		if want := r.Timecode(first + int64(count-1-i)); f.Timecode != want || !f.Reverse {
			t.Fatalf("frame %d is %s (reverse %v), want %s backwards", i, f.Timecode, f.Reverse, want)
		}
	}
	if len(found) != count {
		t.Fatalf("%d frames found, want %d", len(found), count)
	}
}

func reversed(s []float64) []float64 {
	s = slices.Clone(s)
	slices.Reverse(s)
	return s
}

// change returns f of every sample.
func change(s []float64, f func(i int, x float64) float64) []float64 {
	out := make([]float64, len(s))
	for i, x := range s {
		out[i] = f(i, x)
	}
	return out
}

// noise adds white Gaussian noise of the given standard deviation.
func noise(s []float64, sigma float64) []float64 {
	r := rand.New(rand.NewPCG(1, 2))
	return change(s, func(_ int, x float64) float64 { return x + sigma*r.NormFloat64() })
}

// sixteenBits rounds to what a 16-bit file holds.
func sixteenBits(s []float64) []float64 {
	return change(s, func(_ int, x float64) float64 { return math.Round(x*32768) / 32768 })
}

// startFor is a label with a full set of digits, near a drop of labels.
func startFor(r timebase.Rate) timebase.Timecode {
	return timebase.Timecode{H: 19, M: 58, S: 59, F: r.Count() - 7, Drop: r.Drop()}
}

func anyRate(t *rapid.T) timebase.Rate { return rapid.SampledFrom(timebase.Rates).Draw(t, "rate") }
