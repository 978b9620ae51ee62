package loudness

import (
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// passage is music that several checks share; it is not written to.
var passage = music(48000, 6, 7)

func TestGainShiftsLoudness(t *testing.T) {
	t.Parallel()
	// Loud enough throughout that the absolute gate plays no part.
	const rate = MinRate // the property is the same and the time a sixth
	passage := passage[:4*rate]
	was := measured(t, rate, 2, Options{}, passage)
	rapid.Check(t, func(t *rapid.T) {
		db := rapid.Float64Range(-20, 20).Draw(t, "dB")
		gain := math.Pow(10, db/20)
		louder := make([][2]float64, len(passage))
		for i, f := range passage {
			louder[i] = [2]float64{gain * f[0], gain * f[1]}
		}
		m, err := New(rate, 2, Options{})
		if err != nil {
			t.Fatal(err)
		}
		m.Write(louder)
		now := m.Result()
		const tolerance = 1e-9
		near(t, "I", now.Integrated, float64(was.Integrated)+db, tolerance)
		near(t, "max S", now.ShortTermMax, float64(was.ShortTermMax)+db, tolerance)
		near(t, "max M", now.MomentaryMax, float64(was.MomentaryMax)+db, tolerance)
		near(t, "true peak", now.TruePeak, float64(was.TruePeak)+db, tolerance)
		near(t, "range", now.Range, was.Range, tolerance)
		near(t, "balance", now.Balance, float64(was.Balance), tolerance)
		near(t, "correlation", now.Correlation, was.Correlation, tolerance)
	})
}

func TestSwappedChannels(t *testing.T) {
	t.Parallel()
	was := measured(t, 48000, 2, Options{}, passage)
	swapped := make([][2]float64, len(passage))
	for i, f := range passage {
		swapped[i] = [2]float64{f[1], f[0]}
	}
	now := measured(t, 48000, 2, Options{}, swapped)
	near(t, "I", now.Integrated, float64(was.Integrated), 1e-9)
	near(t, "max S", now.ShortTermMax, float64(was.ShortTermMax), 1e-9)
	near(t, "max M", now.MomentaryMax, float64(was.MomentaryMax), 1e-9)
	near(t, "balance", now.Balance, -float64(was.Balance), 1e-9)
	if now.TruePeak != was.TruePeak || now.SamplePeak != was.SamplePeak {
		t.Errorf("peaks are %v and %v, were %v and %v", now.TruePeak, now.SamplePeak, was.TruePeak, was.SamplePeak)
	}
	if now.Channel[0] != was.Channel[1] || now.Channel[1] != was.Channel[0] {
		t.Errorf("channels are %+v, were %+v", now.Channel, was.Channel)
	}
}

// However the stream is cut, live readings included, nothing changes by a bit.
func TestCuttingChangesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{11025, 22050, 44100, 48000}).Draw(t, "rate")
		channels := rapid.IntRange(1, 2).Draw(t, "channels")
		frames := passage[:rapid.SampledFrom([]int{0, 1, 441, rate / 2, 4*rate + 17}).Draw(t, "frames")]
		whole, err := New(rate, channels, Options{})
		if err != nil {
			t.Fatal(err)
		}
		whole.Write(frames)
		want := whole.Result()

		m, err := New(rate, channels, Options{})
		if err != nil {
			t.Fatal(err)
		}
		size := rapid.OneOf(rapid.IntRange(1, 40), rapid.IntRange(1, 20000))
		for rest := frames; len(rest) > 0; {
			n := min(size.Draw(t, "cut"), len(rest))
			if n < 40 {
				// Many cuts of one small size in a row.
				for range min(200, len(rest)/n-1) {
					m.Write(rest[:n])
					rest = rest[n:]
				}
			}
			m.Write(rest[:n])
			rest = rest[n:]
		}
		if got := m.Result(); !reflect.DeepEqual(got, want) {
			t.Fatalf("in pieces:\n%+v\nin one:\n%+v", got, want)
		}
		got, err := Measure(context.Background(), &reader{frames: frames}, rate, channels, Options{})
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("measured on two cores (%v):\n%+v\non one:\n%+v", err, got, want)
		}
	})
}

func TestResultDoesNotDisturb(t *testing.T) {
	t.Parallel()
	m, err := New(48000, 2, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for at := 0; at < len(passage); at += 4801 {
		m.Write(passage[at:min(at+4801, len(passage))])
		if first, second := m.Result(), m.Result(); !reflect.DeepEqual(first, second) {
			t.Fatalf("asked twice at frame %d:\n%+v\n%+v", at, first, second)
		}
	}
	if got, want := m.Result(), measured(t, 48000, 2, Options{}, passage); !reflect.DeepEqual(got, want) {
		t.Errorf("asked on the way:\n%+v\nasked at the end:\n%+v", got, want)
	}
}

// A reader is a streamer over frames that ends with err.
type reader struct {
	frames [][2]float64
	err    error
}

func (r *reader) Stream(samples [][2]float64) (int, bool) {
	// An odd size, so that blocks do not line up with anything.
	n := copy(samples[:min(len(samples), 479)], r.frames)
	r.frames = r.frames[n:]
	return n, n > 0
}

func (r *reader) Err() error { return r.err }

func TestMeasureErrors(t *testing.T) {
	t.Parallel()
	torn := errors.New("the file is torn")
	_, err := Measure(context.Background(), &reader{frames: passage[:72000], err: torn}, 48000, 2, Options{})
	if !errors.Is(err, torn) || !strings.Contains(err.Error(), "1.5s") {
		t.Errorf("a torn stream gives %v, wanted the stream's error and 1.5s", err)
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if _, err = Measure(stopped, &reader{frames: passage}, 48000, 2, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled measurement gives %v", err)
	}
	if _, err = Measure(context.Background(), &reader{}, 0, 2, Options{}); err == nil {
		t.Error("a rate of 0 gives no error")
	}
}
