package align

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

func tones(rate int, seconds float64, hz ...float64) music {
	m := music{rate, make([][2]float64, int(seconds*float64(rate)))}
	for i := range m.frames {
		v := 0.0
		for _, f := range hz {
			v += 0.2 * math.Sin(2*math.Pi*f*float64(i)/float64(rate))
		}
		m.frames[i] = [2]float64{v, v}
	}
	return m
}

func TestTooLittle(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	m := master()
	silence := tones(22050, 60)
	rnd := rand.New(rand.NewPCG(5, 6))
	dither := silence.mapped(func(int, [2]float64) [2]float64 {
		v := rnd.NormFloat64() / 65536
		return [2]float64{v, v}
	})
	tone, chord := tones(22050, 60, 1000), tones(22050, 60, 440, 554.4, 659.3)
	for _, c := range []struct {
		name  string
		a, b  music
		quiet string
	}{
		{"silence", silence, silence, "both"},
		{"dither", dither, dither, "both"},
		{"music and silence", m, silence, "b"},
		{"dither and music", dither, m, "a"},
		{"a tone and itself", tone, tone, "both"},
		{"a chord and itself", chord, chord, "both"},
		{"music and a tone", m, tone, "b"},
		{"three seconds", m.cut(0, 3*22050), m, "a"},
		{"no frames", m, music{rate: 22050}, "b"},
	} {
		r := compare(t, c.a, c.b, Options{})
		if r.Verdict != TooLittle || r.Same || r.Quiet != c.quiet || r.Confidence != 0 {
			t.Errorf("%s: verdict %q, quiet %q, confidence %v; want %q, %q, 0", c.name, r.Verdict, r.Quiet, r.Confidence, TooLittle, c.quiet)
		}
	}
}

// A loop fits itself at every turn. The least offset is reported, and that it
// is not the only one.
func TestLoopIsAmbiguous(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	l := compose(score{seed: 4, rate: 11025, seconds: 60, bpm: 120, loop: 4}) // 2 s
	for _, c := range []struct {
		name string
		b    music
	}{{"itself", l}, {"ten seconds off the head", l.cut(10*l.rate, len(l.frames))}} {
		r := compare(t, l, c.b, Options{})
		if !r.Same || !r.Ambiguous || r.Confidence >= 0.5 {
			t.Errorf("%s: same %t, ambiguous %t, confidence %.2f; want true, true, under 0.5", c.name, r.Same, r.Ambiguous, r.Confidence)
		}
		if math.Abs(r.OffsetMs) > 1 || math.Abs(math.Remainder(r.AlternativeMs, 2000)) > 1 || math.Abs(r.AlternativeMs) < 1000 {
			t.Errorf("%s: offset %.2f, alternative %.2f; want 0 and a whole number of turns of 2000 ms", c.name, r.OffsetMs, r.AlternativeMs)
		}
	}
}

// A beat that repeats every 2 s under a melody that does not: the melody says
// which turn is right.
func TestBeatUnderMelodyIsNot(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	m := compose(score{seed: 4, rate: 11025, seconds: 60, bpm: 120, sameBeat: true})
	r := compare(t, m, m.cut(8*m.rate, len(m.frames)), Options{})
	planted{ms: -8000}.check(t, r, 0.05, 0.5, 0.1)
}

var errTorn = errors.New("the stream is torn")

func TestBadInput(t *testing.T) {
	t.Parallel()
	good := master().cut(0, 10*22050)
	nan := good.cut(0, len(good.frames))
	nan.frames[12345][1] = math.NaN()
	inf := good.cut(0, len(good.frames))
	inf.frames[7][0] = math.Inf(-1)
	for _, c := range []struct {
		name string
		b    Audio
		want string
	}{
		{"not a number", nan.audio(), "the second file: frame 12345 is not a number"},
		{"infinite", inf.audio(), "the second file: frame 7 is not a number"},
		{"rate 0", music{0, good.frames}.audio(), "the second file: the sample rate is 0 Hz, want 4000 to 1000000"},
		{"rate too high", music{2_000_000, good.frames}.audio(), "sample rate is 2000000 Hz"},
		{"torn", Source{&memory{frames: good.frames, err: errTorn}, 22050}, "the second file: the stream is torn"},
	} {
		_, err := Compare(context.Background(), good.audio(), c.b, Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
	if _, err := Compare(context.Background(), good.audio(), good.audio(), Options{MaxOffset: -time.Second}); err == nil {
		t.Error("a negative largest offset was taken")
	}
	if _, err := Compare(context.Background(), good.audio(), Source{&memory{frames: good.frames, err: errTorn}, 22050}, Options{}); !errors.Is(err, errTorn) {
		t.Errorf("error %v does not wrap the stream's own", err)
	}
}

func TestCancelled(t *testing.T) {
	t.Parallel()
	m := master()
	// Cancelled while reading, and once both files are read.
	for _, at := range []float64{0.1, 0.71} {
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		_, err := Compare(ctx, m.audio(), m.audio(), Options{Progress: func(d float64) {
			if d >= at {
				cancel()
			}
		}})
		if !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled at %v: error %v, want %v", at, err, context.Canceled)
		}
	}
}

// A stream without an end is given up: it cannot take all memory.
func TestEndlessStream(t *testing.T) {
	t.Parallel()
	r := newReader(8000, both)
	r.frames = int64(maxLength/time.Second)*8000 - 1
	chunk := make([][2]float64, 8192)
	err := r.take(chunk)
	if err == nil {
		err = r.take(chunk)
	}
	if err == nil || !strings.Contains(err.Error(), "longer than 2h0m0s") {
		t.Errorf("error %v, want one about the length", err)
	}
}

// However few frames a stream gives at once, and wherever it stands at first,
// the result is the same.
func TestReadSizes(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	m := master().cut(0, 20*22050)
	want := compare(t, m, m, Options{})
	odd := Source{&memory{frames: m.frames, most: 479, pos: 1234}, m.rate}
	got, err := Compare(context.Background(), m.audio(), odd, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.OffsetMs-want.OffsetMs) > 1e-6 || got.WindowsUsed != want.WindowsUsed || !got.Same {
		t.Errorf("read in parts: %+v, want %+v", got, want)
	}
}
