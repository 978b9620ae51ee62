package resample

import (
	"math"
	"math/rand"
	"testing"

	"drylane/playback/internal/window"

	"pgregory.net/rapid"
)

var rates = []int{22050, 24000, 32000, 44100, 48000, 88200, 96000}

// noise returns n frames of uniform noise in -1..+1, different on each side.
func noise(n int, seed int64) [][2]float64 {
	rng := rand.New(rand.NewSource(seed))
	frames := make([][2]float64, n)
	for i := range frames {
		frames[i] = [2]float64{2*rng.Float64() - 1, 2*rng.Float64() - 1}
	}
	return frames
}

// convert runs in through a new Resampler in one go.
func convert(t testing.TB, in [][2]float64, from, to int) [][2]float64 {
	t.Helper()
	r, err := New(from, to)
	if err != nil {
		t.Fatal(err)
	}
	r.Write(in)
	out := make([][2]float64, r.Ratio().Out(int64(len(in))))
	n := r.Read(out)
	if n += r.Drain(out[n:]); n != len(out) {
		t.Fatalf("%d Hz to %d Hz: %d frames gave %d, want %d", from, to, len(in), n, len(out))
	}
	if r.Drain(make([][2]float64, 1)) != 0 {
		t.Fatalf("%d Hz to %d Hz: frames beyond the end of the input", from, to)
	}
	return out
}

// TestSlowReference compares with the convolution integral written out in
// time, in seconds: every input frame contributes its own windowed sinc.
func TestSlowReference(t *testing.T) {
	t.Parallel()
	for _, from := range rates {
		for _, to := range rates {
			if from == to {
				continue
			}
			in := noise(700, 1)
			got := convert(t, in, from, to)
			low := math.Min(float64(from), float64(to))
			fc := low / 2 * (1 + 20000.0/22050) / 2 // middle of the transition, Hz
			r, _ := New(from, to)
			reach := float64(r.Lead()) / float64(from) // seconds
			for n := 0; n < len(got); n += 37 {
				var want [2]float64
				var gain float64
				at := float64(n) / float64(to)
				for i := -2000; i < len(in)+2000; i++ {
					d := at - float64(i)/float64(from)
					if math.Abs(d) >= reach*(1-1e-12) {
						continue
					}
					w := window.BesselI0(0.1102*(140-8.7)*math.Sqrt(1-d/reach*d/reach)) * window.Sinc(2*fc*d)
					gain += w
					if i >= 0 && i < len(in) {
						want[0] += w * in[i][0]
						want[1] += w * in[i][1]
					}
				}
				for c := range want {
					if e := math.Abs(got[n][c] - want[c]/gain); e > 1e-12 {
						t.Fatalf("%d Hz to %d Hz, frame %d: %v, reference %v", from, to, n, got[n][c], want[c]/gain)
					}
				}
			}
		}
	}
}

func TestEqualRatesPassThrough(t *testing.T) {
	t.Parallel()
	in := noise(1000, 2)
	for i, f := range convert(t, in, 44100, 44100) {
		if f != in[i] {
			t.Fatalf("frame %d changed: %v, want %v", i, f, in[i])
		}
	}
}

// TestImpulseStaysInPlace puts an impulse where both rates have a frame and
// finds the output symmetric about that very frame.
func TestImpulseStaysInPlace(t *testing.T) {
	t.Parallel()
	for _, from := range rates {
		for _, to := range rates {
			ratio, _ := NewRatio(from, to)
			k := 1 + 3000/min(ratio.L, ratio.M)
			in := make([][2]float64, 2*k*ratio.M+1)
			in[k*ratio.M] = [2]float64{1, -1}
			out := convert(t, in, from, to)
			centre := k * ratio.L
			for d := range min(centre, 2000) {
				if e := out[centre-d][0] - out[centre+d][0]; math.Abs(e) > 1e-12 {
					t.Fatalf("%d Hz to %d Hz: %d frames before and after the impulse differ by %v", from, to, d, e)
				}
				if out[centre+d][0] != -out[centre+d][1] {
					t.Fatalf("%d Hz to %d Hz: the sides are not handled alike", from, to)
				}
				if math.Abs(out[centre+d][0]) > out[centre][0] {
					t.Fatalf("%d Hz to %d Hz: the peak is %d frames late", from, to, d)
				}
			}
		}
	}
}

// TestChunks writes and reads in random pieces: nothing may depend on them.
func TestChunks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		from, to := rapid.SampledFrom(rates).Draw(t, "from"), rapid.SampledFrom(rates).Draw(t, "to")
		in := noise(rapid.IntRange(0, 3000).Draw(t, "frames"), 3)
		whole, _ := New(from, to)
		whole.Write(in)
		want := make([][2]float64, whole.Ratio().Out(int64(len(in))))
		want = want[:whole.Read(want)]

		r, _ := New(from, to)
		var got [][2]float64
		buf := make([][2]float64, 1000)
		for len(in) > 0 {
			n := min(len(in), rapid.IntRange(1, 700).Draw(t, "write"))
			r.Write(in[:n])
			in = in[n:]
			size := rapid.IntRange(1, len(buf)).Draw(t, "read")
			for n := -1; n != 0; got = append(got, buf[:n]...) {
				n = r.Read(buf[:size])
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%d frames in pieces, %d in one go", len(got), len(want))
		}
		for i := range got {
			if got[i] != want[i] {
				t.Fatalf("frame %d is %v in pieces, %v in one go", i, got[i], want[i])
			}
		}
	})
}

// TestResetIsStraight starts again in the middle, at any output frame: with Lead
// frames of history the output is bit-identical to a straight run.
func TestResetIsStraight(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		from, to := rapid.SampledFrom(rates).Draw(t, "from"), rapid.SampledFrom(rates).Draw(t, "to")
		r, _ := New(from, to)
		ratio := r.Ratio()
		skip := rapid.Int64Range(0, 4000).Draw(t, "output frame")
		at := ratio.In(skip)
		in := noise(int(at)+2000, 4)
		r.Write(in)
		straight := make([][2]float64, ratio.Out(int64(len(in))))
		straight = straight[:r.Read(straight)]

		r.ResetAt(in[max(0, at-int64(r.Lead())):at], skip*ratio.M-at*ratio.L)
		r.Write(in[at:])
		again := make([][2]float64, len(straight))
		again = again[:r.Read(again)]
		if len(again) != max(0, len(straight)-int(skip)) {
			t.Fatalf("%d frames after the reset, want %d", len(again), len(straight)-int(skip))
		}
		for i := range again {
			if again[i] != straight[int(skip)+i] {
				t.Fatalf("frame %d after the reset is %v, straight %v", i, again[i], straight[int(skip)+i])
			}
		}
	})
}

// TestDrainThenMore drains, goes on, and loses no frame: the counts stay those
// of a straight run and frames far from the drain are the same.
func TestDrainThenMore(t *testing.T) {
	t.Parallel()
	in := noise(4000, 5)
	want := convert(t, in, 44100, 48000)
	r, _ := New(44100, 48000)
	out := make([][2]float64, len(want))
	r.Write(in[:2000])
	n := r.Read(out)
	n += r.Drain(out[n:])
	if wantN := int(r.Ratio().Out(2000)); n != wantN {
		t.Fatalf("%d frames after the drain, want %d", n, wantN)
	}
	r.Write(in[2000:])
	n += r.Read(out[n:])
	if n += r.Drain(out[n:]); n != len(want) {
		t.Fatalf("%d frames in all, want %d", n, len(want))
	}
	for i := range out {
		near := i > 1900 && i < 2177 // frame 2000 in is frame 2176.9 out
		if !near && out[i] != want[i] {
			t.Fatalf("frame %d is %v, in one go %v", i, out[i], want[i])
		}
	}
}

// TestRatioNeverDrifts checks whole seconds, where both counts are plain, up to
// the end of a day and beyond.
func TestRatioNeverDrifts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		from, to := rapid.SampledFrom(rates).Draw(t, "from"), rapid.SampledFrom(rates).Draw(t, "to")
		r, err := NewRatio(from, to)
		if err != nil {
			t.Fatal(err)
		}
		s := rapid.Int64Range(-10, 10*24*3600).Draw(t, "seconds")
		if got := r.In(s * int64(to)); got != s*int64(from) {
			t.Fatalf("%d s are %d frames, want %d", s, got, s*int64(from))
		}
		if got := r.Out(s * int64(from)); got != s*int64(to) {
			t.Fatalf("%d s are %d frames out, want %d", s, got, s*int64(to))
		}
		n := rapid.Int64Range(0, 1e11).Draw(t, "frame")
		if in := r.In(n); r.Out(in) > n || r.Out(in+1) <= n {
			t.Fatalf("output frame %d does not lie within input frame %d", n, in)
		}
	})
}

func TestNewRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range [][2]int{{0, 48000}, {44100, 0}, {-1, 48000}, {44100, 20_000_000}, {44101, 48000 - 1}} {
		if _, err := New(c[0], c[1]); err == nil {
			t.Errorf("%d Hz to %d Hz: no error", c[0], c[1])
		}
	}
}
