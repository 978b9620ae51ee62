package ltc

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// check reports on samples, which may have no timecode.
func check(t *testing.T, samples []float64, rate int) (Report, error) {
	t.Helper()
	c := NewChecker(rate)
	d, err := NewDecoder(rate, c.Add)
	if err != nil {
		t.Fatal(err)
	}
	d.Write(samples)
	d.Flush()
	return c.Report()
}

// kinds lists the kinds of faults and their frames.
func kinds(list []Fault) (out [][2]int64) {
	for _, f := range list {
		out = append(out, [2]int64{int64(f.Kind), f.Frames})
	}
	return out
}

// TestFaults plants each fault once, at a known place.
func TestFaults(t *testing.T) {
	t.Parallel()
	const rate, frame = 48000, 1920 // 25 frames a second
	at := func(s int) []float64 {
		return frameSound(t, Config{Rate: timebase.FPS25, SampleRate: rate, Start: timebase.FPS25.Timecode(int64(s))}, 60)
	}
	cut := func(s []float64, from, to int) []float64 { return s[from*frame : to*frame] }
	silence := func(frames int) []float64 { return make([]float64, frames*frame) }
	s := at(1000)
	for _, row := range []struct {
		name    string
		samples []float64
		want    [][2]int64
		sample  int64
	}{
		{"none", s, nil, 0},
		{"muted for 7 frames", slices.Concat(cut(s, 0, 20), silence(7), cut(s, 27, 60)), [][2]int64{{int64(Dropout), 7}}, 20 * frame},
		{"held for 7 frames", slices.Concat(cut(s, 0, 20), silence(7), cut(s, 20, 60)),
			[][2]int64{{int64(Dropout), 7}, {int64(Jump), -7}}, 20 * frame},
		{"cut by 5 frames", slices.Concat(cut(s, 0, 20), cut(s, 25, 60)), [][2]int64{{int64(Jump), 5}}, 20 * frame},
		{"doubled by 5 frames", slices.Concat(cut(s, 0, 20), cut(s, 15, 60)), [][2]int64{{int64(Jump), -5}}, 20 * frame},
		{"a frame twice", slices.Concat(cut(s, 0, 20), cut(s, 19, 60)), [][2]int64{{int64(Repeat), 0}}, 20 * frame},
		{"over midnight", at(int(timebase.FPS25.DayFrames()) - 30), nil, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, err := check(t, row.samples, rate)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(kinds(r.Faults), row.want) || r.FaultCount != len(row.want) {
				t.Fatalf("%d faults: %v", r.FaultCount, r.Faults)
			}
			if len(r.Faults) > 0 && abs(r.Faults[0].Sample-row.sample) > 1 {
				t.Errorf("found at sample %d, want %d", r.Faults[0].Sample, row.sample)
			}
			if r.Rate != timebase.FPS25 || math.Abs(r.PPM) > 2 {
				t.Errorf("rate %s %+.2f ppm, want 25", r.Rate, r.PPM)
			}
		})
	}
}

func TestFaultTurn(t *testing.T) {
	t.Parallel()
	s := frameSound(t, Config{Rate: timebase.FPS25, SampleRate: 48000, Start: timebase.Timecode{H: 1}}, 40)
	r, err := check(t, append(s, reversed(s)...), 48000)
	if err != nil {
		t.Fatal(err)
	}
	turns := 0
	for _, f := range r.Faults {
		if f.Kind == Turn {
			turns++
		}
	}
	if turns != 1 || r.FaultCount > 2 {
		t.Errorf("%d turns in %v, want 1", turns, r.Faults)
	}
}

// TestFaultBackwards: timecode that counts down is told of once, at its first frame.
func TestFaultBackwards(t *testing.T) {
	s := frameSound(t, Config{Rate: timebase.FPS25, SampleRate: 48000, Start: timebase.Timecode{H: 1}}, 40)
	r, err := check(t, reversed(s), 48000)
	if err != nil {
		t.Fatal(err)
	}
	if r.FaultCount != 1 || r.Faults[0].Kind != Backwards || r.Faults[0].Sample != r.First.Sample() || r.Faults[0].String() != "runs backwards from "+r.First.Timecode.String()+" on" {
		t.Errorf("found %v; wanted one fault, at %s", r.Faults, r.First.Timecode)
	}
}

// TestFaultLabels feeds labels that do not belong together.
func TestFaultLabels(t *testing.T) {
	t.Parallel()
	frame := func(i int, label timebase.Timecode) Frame {
		return Frame{Timecode: label, Start: float64(i) * 1600, Length: 1600}
	}
	for _, row := range []struct {
		name string
		a, b timebase.Timecode
		want FaultKind
	}{
		{"drop frame sets in", timebase.Timecode{S: 5}, timebase.Timecode{S: 5, F: 1, Drop: true}, DropFlag},
		{"a label that drop frame leaves out", timebase.Timecode{S: 59, F: 29, Drop: true}, timebase.Timecode{M: 1, Drop: true}, NoLabel},
	} {
		c := NewChecker(48000)
		c.Add(frame(0, row.a))
		c.Add(frame(1, row.b))
		r, err := c.Report()
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Faults) == 0 || r.Faults[0].Kind != row.want {
			t.Errorf("%s: %v", row.name, r.Faults)
		}
	}
}

// TestReportRate: the rate is told from its neighbour 0.1 % away and from the
// count of the labels, at normal speed and with a clock that is off.
func TestReportRate(t *testing.T) {
	t.Parallel()
	for _, r := range timebase.Rates {
		for _, ppm := range []float64{0, 100, -250} {
			made := 48000
			s := frameSound(t, Config{Rate: r, SampleRate: made, Start: startFor(r)}, 100)
			if ppm != 0 { // played by a clock that is off
				s = stretch(s, 1/(1+ppm*1e-6))
			}
			got, err := check(t, s, 48000)
			if err != nil {
				t.Fatal(err)
			}
			if got.Rate != r || math.Abs(got.PPM-ppm) > 3 || got.FaultCount != 0 || got.Frames != 100 {
				t.Errorf("%s %+g ppm: %s %+.1f ppm, %d frames, %v", r, ppm, got.Rate, got.PPM, got.Frames, got.Faults)
			}
		}
	}
}

// stretch makes s longer by the factor, between samples by a straight line.
func stretch(s []float64, factor float64) []float64 {
	out := make([]float64, int(float64(len(s)-1)*factor))
	for i := range out {
		p := float64(i) / factor
		k := int(p)
		out[i] = s[k] + (s[k+1]-s[k])*(p-float64(k))
	}
	return out
}

// TestReportCountBySpeed: at 10 % off the speed misleads, and the labels tell
// the count.
func TestReportCountBySpeed(t *testing.T) {
	t.Parallel()
	for _, r := range []timebase.Rate{timebase.FPS24, timebase.FPS25, timebase.FPS30} {
		for _, speed := range []float64{0.9, 1.1} {
			s := frameSound(t, Config{Rate: r, SampleRate: int(48000 / speed), Start: startFor(r)}, 80)
			got, err := check(t, s, 48000)
			if err != nil {
				t.Fatal(err)
			}
			if got.Rate.Count() != r.Count() || got.FaultCount != 0 || math.Abs(got.FPS-speed*r.FPS()) > 0.01 {
				t.Errorf("%s x%g: %s, %.3f frames a second, %v", r, speed, got.Rate, got.FPS, got.Faults)
			}
		}
	}
}

// TestReportZero: what label sample 0 has, and how far off its frame starts.
func TestReportZero(t *testing.T) {
	t.Parallel()
	s := frameSound(t, Config{Rate: timebase.FPS25, SampleRate: 48000, Start: timebase.Timecode{H: 1}}, 50)
	for _, row := range []struct {
		samples []float64
		zero    timebase.Timecode
		offset  float64
	}{
		{s, timebase.Timecode{H: 1}, 0},
		{s[1920*3:], timebase.Timecode{H: 1, F: 3}, 0},
		{s[100:], timebase.Timecode{H: 1}, -100},
		{append(make([]float64, 48000+480), s...), timebase.Timecode{M: 59, S: 59}, 480},
		{reversed(s), timebase.Timecode{H: 1, S: 2}, -1}, // sample 96000, the edge, would come before the first
	} {
		r, err := check(t, row.samples, 48000)
		if err != nil {
			t.Fatal(err)
		}
		if r.Zero != row.zero || math.Abs(r.ZeroOffset-row.offset) > 0.5 {
			t.Errorf("sample 0 is %s %+.2f samples, want %s %+g", r.Zero, r.ZeroOffset, row.zero, row.offset)
		}
	}
}

// TestFaultsBounded: a stream with nothing but faults is counted, not kept.
func TestFaultsBounded(t *testing.T) {
	t.Parallel()
	c := NewChecker(48000)
	for i := range 5000 {
		c.Add(Frame{Timecode: timebase.Timecode{H: 1}, Start: 1920 * float64(i), Length: 1920})
	}
	r, err := c.Report()
	if err != nil {
		t.Fatal(err)
	}
	if r.FaultCount != 4999 || len(r.Faults) != 1000 {
		t.Errorf("%d faults, %d kept", r.FaultCount, len(r.Faults))
	}
}

func TestAnalyse(t *testing.T) {
	t.Parallel()
	encoder := func() *Encoder {
		e, err := NewEncoder(Config{Rate: timebase.FPS2997Drop, SampleRate: 44100, Start: timebase.Timecode{M: 9, S: 59, Drop: true}, Length: 3 * 44100})
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	ctx := context.Background()
	r, err := Analyse(ctx, encoder(), 44100, Right)
	if err != nil {
		t.Fatal(err)
	}
	// 3 s hold 89.9 frames.
	if r.Frames != 89 || r.FaultCount != 0 || r.Rate != timebase.FPS2997Drop || r.First.String() != "00:09:59;00" || r.Last.String() != "00:10:01;28" {
		t.Errorf("%+v", r)
	}
	if got := r.Time(44100 * 3 / 2).Seconds(); got != 1.5 {
		t.Errorf("sample 66150 is at %g s", got)
	}
	if _, err := Analyse(ctx, beep.Silence(44100), 44100, Left); !errors.Is(err, ErrNoTimecode) || !strings.Contains(err.Error(), "left") {
		t.Errorf("silence: %v", err)
	}
	if _, err := Analyse(ctx, encoder(), 1, Left); err == nil {
		t.Error("a sample rate of 1 is taken")
	}
	broken := errors.New("the file is broken")
	if _, err := Analyse(ctx, failing{broken}, 44100, Left); !errors.Is(err, broken) {
		t.Errorf("a broken stream: %v", err)
	}
	gone, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := Analyse(gone, encoder(), 44100, Left); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// failing is a stream that is broken.
type failing struct{ err error }

func (f failing) Stream([][2]float64) (int, bool) { return 0, false }
func (f failing) Err() error                      { return f.err }
