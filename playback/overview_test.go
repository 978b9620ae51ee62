package playback

import (
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"sync"
	"testing"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// sliceStream is a Stream over frames in memory.
type sliceStream struct {
	frames [][2]float64
	pos    int
}

func (s *sliceStream) Stream(to [][2]float64) (int, bool) {
	n := copy(to, s.frames[s.pos:])
	s.pos += n
	return n, n > 0
}
func (s *sliceStream) Err() error       { return nil }
func (s *sliceStream) Len() int         { return len(s.frames) }
func (s *sliceStream) Position() int    { return s.pos }
func (s *sliceStream) Seek(p int) error { s.pos = p; return nil }

// Any range must agree with the frames it covers, added up one by one.
func TestOverviewAgainstFrames(t *testing.T) {
	t.Parallel()
	const rate = 48000 // 240 frames a column
	frames := music(100_003)
	frames[70_000] = [2]float64{-1.5, 0.999}
	o := NewOverview(rate, timebase.Frame(len(frames)))
	if err := o.Build(t.Context(), &sliceStream{frames: frames}); err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.IntRange(0, len(frames)-1).Draw(t, "from")
		to := rapid.IntRange(from+1, len(frames)+1000).Draw(t, "to")
		peak, rms, ok := o.Column(timebase.Frame(from), timebase.Frame(to))
		if !ok {
			t.Fatal("not built")
		}
		wide := frames[from/240*240 : min((to+239)/240*240, len(frames))]
		for c := range 2 {
			var high, sum float64
			for _, f := range wide {
				high = max(high, math.Abs(f[c]))
				sum += f[c] * f[c]
			}
			if math.Abs(float64(peak[c])-high) > 2e-5 {
				t.Errorf("channel %d: peak %v, want %v", c, peak[c], high)
			}
			if want := math.Sqrt(sum / float64(len(wide))); math.Abs(float64(rms[c])-want) > 4e-5 {
				t.Errorf("channel %d: rms %v, want %v", c, rms[c], want)
			}
		}
	})
}

func TestOverviewEdges(t *testing.T) {
	t.Parallel()
	o := NewOverview(48000, 1000)
	check := func(from, to timebase.Frame, want bool) {
		t.Helper()
		if _, _, ok := o.Column(from, to); ok != want {
			t.Errorf("after %d frames %d..%d: ok %v", o.Built(), from, to, ok)
		}
	}
	loud := make([][2]float64, 2000)
	for i := range loud {
		loud[i] = [2]float64{1, 9}
	}
	check(0, 10, false)
	o.Add(loud[:500])
	check(0, 10, true)
	check(-50, 480, true)
	check(0, 481, false) // its column is not complete
	check(479, 481, false)
	o.Add(loud)
	check(960, 1000, true)
	check(999, 5000, true)
	check(1000, 1010, false)
	check(-10, 0, false)
	check(10, 10, false)
	if o.Built() != 1000 || o.Len() != 1000 {
		t.Errorf("built %d of %d", o.Built(), o.Len())
	}
	peak, rms, _ := o.Column(0, 1000)
	if peak != [2]float32{1, 2} || rms != [2]float32{1, 2} {
		t.Errorf("full scale is %v, %v; want 1 and, beyond what fits, 2", peak, rms)
	}
	if _, _, ok := NewOverview(48000, 0).Column(0, 1); ok {
		t.Error("an empty overview has a column")
	}
}

// Run with -race: readers while it is built.
func TestOverviewReadWhileBuilt(t *testing.T) {
	t.Parallel()
	frames := music(300_000)
	o := NewOverview(44100, timebase.Frame(len(frames)))
	var readers sync.WaitGroup
	for range 2 {
		readers.Go(func() {
			for o.Built() < o.Len() {
				built := o.Built()
				peak, _, ok := o.Column(0, built/o.bucket*o.bucket)
				if ok != (built > 0) || ok && (peak[0] <= 0 || peak[0] > 1) {
					t.Errorf("up to %d: %v, %v", built, peak, ok)
					return
				}
			}
		})
	}
	if err := o.Build(t.Context(), &sliceStream{frames: frames}); err != nil {
		t.Error(err)
	}
	readers.Wait()
}

func TestOverviewBuildEndsEarly(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	frames := music(10_000)
	o := NewOverview(44100, 20_000)
	if err := o.Build(ctx, &sliceStream{frames: frames}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	if err := o.Build(t.Context(), &sliceStream{frames: frames}); err == nil {
		t.Error("a stream that is too short gave no error")
	}
}

// However long a header says the music is, the columns stay few.
func TestOverviewMemory(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		length timebase.Frame
		limit  int
	}{
		{30 * 60 * 44100, 6 << 20},
		{1 << 40, 12 << 20},
	} {
		bytes := 0
		for _, l := range NewOverview(44100, tt.length).levels {
			bytes += len(l) * 8
		}
		if bytes > tt.limit {
			t.Errorf("%d frames take %d bytes, limit %d", tt.length, bytes, tt.limit)
		}
	}
}

// What is stored comes back as it was, for that soundtrack alone and in full alone.
func TestOverviewStored(t *testing.T) {
	t.Parallel()
	for _, length := range []timebase.Frame{1, 219, 220, 100_000} {
		o := NewOverview(44100, length)
		o.Add(music(int(length)))
		b := o.Store()
		again := NewOverview(44100, length)
		if err := again.Restore(b); err != nil {
			t.Fatalf("%d frames: %v", length, err)
		}
		if again.Built() != length || !reflect.DeepEqual(again.levels, o.levels) {
			t.Errorf("%d frames: another overview came back", length)
		}
		for name, wrong := range map[string]struct {
			of *Overview
			b  []byte
		}{
			"cut off": {NewOverview(44100, length), b[:len(b)-1]}, "longer": {NewOverview(44100, length), append(slices.Clone(b), 0)},
			"none": {NewOverview(44100, length), nil}, "of another rate": {NewOverview(48000, length), b}, "of another length": {NewOverview(44100, length+1), b},
		} {
			if wrong.of.Restore(wrong.b) == nil || wrong.of.Built() != 0 {
				t.Errorf("%d frames: one that is %s was taken", length, name)
			}
		}
	}
}
