package follow

import (
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"
)

const hz = 48000

var from = timebase.Timecode{H: 1}

// TestStates is the table of the package comment, line by line, with code at 25: a
// frame is 1920 samples. The soundtrack begins at 01:00:00:00.
func TestStates(t *testing.T) {
	t.Parallel()
	const frame = hz / 25
	run := func(label string, n int64) []float64 { return code(t, timebase.FPS25, label, n, hz) }
	pause := func(frames int) []float64 { return silence(frames * frame) }
	twice := func(s []float64) (out []float64) { // every frame doubled
		for ; len(s) >= frame; s = s[frame:] {
			out = append(append(out, s[:frame]...), s[:frame]...)
		}
		return out
	}
	for _, row := range []struct {
		name  string
		sound []float64
		want  string
	}{
		{"runs", run("01:00:00:00", 50), "locked"},
		{"before the soundtrack", run("00:59:50:00", 50), "locked"},
		{"three frames", slices.Concat(run("01:00:00:00", 3), pause(50)), ""},
		{"nothing", pause(100), ""},
		{"three frames of silence", slices.Concat(run("01:00:00:00", 50), pause(3), run("01:00:02:03", 30)), "locked, carried, locked"},
		{"stops", slices.Concat(run("01:00:00:00", 50), pause(50)), "locked, carried, lost (stopped)"},
		{"stops and runs on", slices.Concat(run("01:00:00:00", 50), pause(50), run("01:00:02:00", 50)), "locked, carried, lost (stopped), locked again"},
		{"stops and runs on four frames before", slices.Concat(run("01:00:00:00", 50), pause(50), run("01:00:01:21", 50)), "locked, carried, lost (stopped), locked again"},
		{"stops and runs on five frames before", slices.Concat(run("01:00:00:00", 50), pause(50), run("01:00:01:20", 50)), "locked, carried, lost (stopped), locked"},
		{"stops within a frame and runs on", slices.Concat(run("01:00:00:00", 60)[:50*frame+700], pause(50), run("01:00:00:00", 100)[50*frame+700:]), "locked, carried, lost (stopped), locked again"},
		{"stops for less than the carry", slices.Concat(run("01:00:00:00", 50), pause(1)[:frame/3], run("01:00:02:00", 50)), "locked, carried, locked"},
		{"stops and runs on elsewhere", slices.Concat(run("01:00:00:00", 50), pause(50), run("01:00:30:00", 50)), "locked, carried, lost (stopped), locked"},
		{"one frame doubled", slices.Concat(run("01:00:00:00", 50), run("01:00:01:24", 50)), "locked, carried, locked"},
		{"one frame missing", slices.Concat(run("01:00:00:00", 50), run("01:00:02:01", 50)), "locked, carried, locked"},
		{"two frames missing", slices.Concat(run("01:00:00:00", 50), run("01:00:02:02", 50)), "locked, carried, locked"},
		{"five frames cut out", slices.Concat(run("01:00:00:00", 50), run("01:00:02:05", 50)), "locked, carried, lost (jumped), locked"},
		{"jumps ahead", slices.Concat(run("01:00:00:00", 50), run("01:00:20:00", 50)), "locked, carried, lost (jumped), locked"},
		{"jumps back", slices.Concat(run("01:00:10:00", 50), run("01:00:05:00", 50)), "locked, carried, lost (jumped), locked"},
		{"all doubled from the start", twice(run("01:00:00:00", 50)), ""},
		{"doubled from a place on", slices.Concat(run("01:00:00:00", 50), twice(run("01:00:02:00", 50))), "locked, carried, lost (stopped)"},
		{"the same frame for ever", slices.Concat(run("01:00:00:00", 50), slices.Repeat(run("01:00:01:24", 1), 50)), "locked, carried, lost (stopped)"},
		{"turns round", slices.Concat(run("01:00:00:00", 50), reversed(run("01:00:00:00", 50))), "locked, carried, lost (stopped), lost (backwards)"},
		{"backwards", reversed(run("01:00:00:00", 50)), "searching (backwards)"},
		{"other rate from a place on", slices.Concat(run("01:00:00:00", 50), code(t, timebase.FPS30, "01:00:02:00", 60, hz)), "locked, carried, lost (wrong rate), locked"},
	} {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			if got := words(followed(t, Config{SampleRate: hz, From: from}, row.sound)); got != row.want {
				t.Errorf("%s; want %s", got, row.want)
			}
		})
	}
}

// TestBounds: the lock comes with the fourth frame, and a stop anywhere within a
// frame is told no later than the carry and one frame after it, with a place that is
// no more than the carry beyond it.
func TestBounds(t *testing.T) {
	t.Parallel()
	for _, carry := range []time.Duration{LeastCarry, DefaultCarry, MostCarry} {
		for _, rate := range timebase.Rates {
			frame := hz / rate.FPS()
			whole := code(t, rate, rate.Timecode(86400).String(), 55, hz)
			for part := range 4 {
				stop := int((50 + float64(part)/4) * frame)
				got := followed(t, Config{SampleRate: hz, From: rate.Timecode(86400), Rate: rate, Carry: carry}, slices.Concat(whole[:stop], silence(int((carry.Seconds()+0.1)*hz))))
				lock, lost := got[0], got[len(got)-2]
				if late := float64(lock.sample) - LockFrames*frame; lock.state != Locked || late < 0 || late > 0.01*hz {
					t.Errorf("%s: %s at sample %d; want a lock within 10 ms of the end of frame 4, %.0f", rate, lock, lock.sample, LockFrames*frame)
				}
				limit := float64(stop) + carry.Seconds()*hz + frame
				if lost.state != Lost || float64(lost.sample) > limit {
					t.Errorf("%s, carry %v, stop at %d: %s at %d; want lost by %.0f", rate, carry, stop, lost, lost.sample, limit)
				}
				if ahead := lost.now.Place - at(stop); ahead > carry+at(1)+1 { // the stop is rounded down to a sample
					t.Errorf("%s, carry %v: the place is %v beyond the stop", rate, carry, ahead)
				}
			}
		}
	}
}

// TestMidnight: code that runs over midnight runs on, and a show may begin before it.
func TestMidnight(t *testing.T) {
	t.Parallel()
	for _, rate := range timebase.Rates {
		first := rate.Timecode(-40)
		list := followed(t, Config{SampleRate: hz, From: first, Rate: rate}, code(t, rate, first.String(), 80, hz))
		if end := list[len(list)-1].now; words(list) != "locked" || (end.Place-rate.At(80)).Abs() > time.Millisecond {
			t.Errorf("%s: %s, at %v", rate, words(list), end.Place)
		}
	}
}

// at is the moment of a sample.
func at(sample int) time.Duration { return timebase.Frame(sample).At(hz) }

// TestRates: each rate is told by itself from the code alone, at each sample rate of
// an input, and with its clock 100 ppm off; the place is right to 1 ms throughout.
func TestRates(t *testing.T) {
	t.Parallel()
	for _, rate := range timebase.Rates {
		for _, sampleRate := range []int{44100, 48000, 96000} {
			for _, ppm := range []float64{-100, 0, 100} {
				first := rate.Timecode(90000)
				s := fast(t, rate, first.String(), 75, sampleRate, 1+ppm*1e-6)
				list := followed(t, Config{SampleRate: sampleRate, From: first}, s)
				end := list[len(list)-1].now
				if words(list) != "locked" || end.Rate != rate {
					t.Errorf("%s at %d Hz, %+.0f ppm: %s, rate %s", rate, sampleRate, ppm, words(list), end.Rate)
				}
				if off := end.Place - rate.At(75); off.Abs() > time.Millisecond {
					t.Errorf("%s at %d Hz, %+.0f ppm: the place is %v off", rate, sampleRate, ppm, off)
				}
			}
		}
	}
}

// TestSpeeds: code is followed at 10 % more or less than its speed. 23.976 and 24, or
// 29.97 and 30, cannot be told apart then, which is said, and not guessed.
func TestSpeeds(t *testing.T) {
	t.Parallel()
	for _, rate := range timebase.Rates {
		for _, speed := range []float64{0.9, 0.96, 1.04, 1.1} {
			first := rate.Timecode(90000)
			s := fast(t, rate, first.String(), 100, hz, speed)
			named := followed(t, Config{SampleRate: hz, From: first, Rate: rate}, s)
			end := named[len(named)-1].now
			if off := end.Place - rate.At(100); end.State != Locked || off.Abs() > 2*time.Millisecond || end.Speed < speed-0.002 || end.Speed > speed+0.002 {
				t.Errorf("%s at %g: %s, %v off, speed %.4f", rate, speed, end.State, off, end.Speed)
			}
			alone := rate == timebase.FPS25 || rate.Drop()
			found := followed(t, Config{SampleRate: hz, From: first}, s)
			if end := found[len(found)-1].now; end.State != Locked || (end.Rate == rate) != alone || (end.Rate == 0) == alone {
				t.Errorf("%s at %g: %s, found rate %v", rate, speed, end.State, end.Rate)
			}
		}
	}
}

// TestRateUnknown: a place far into the soundtrack is not told before the rate is.
func TestRateUnknown(t *testing.T) {
	t.Parallel()
	s := code(t, timebase.FPS2997, "01:10:00:00", 60, hz)
	list := followed(t, Config{SampleRate: hz, From: from}, s)
	if words(list) != "searching (rate unknown), locked" || list[1].sample < hz || list[1].sample > 3*hz/2 {
		t.Errorf("%s, the last at %d; want a lock after a second", words(list), list[1].sample)
	}
	list = followed(t, Config{SampleRate: hz, From: from}, fast(t, timebase.FPS2997, "01:10:00:00", 60, hz, 1.05))
	if words(list) != "searching (rate unknown)" {
		t.Errorf("at another speed: %s", words(list))
	}
	// From the top the place is sure to 15 ms for 15 s, and then it is a stop.
	s = fast(t, timebase.FPS2997, "01:00:00:00", 600, hz, 1.05)
	list = followed(t, Config{SampleRate: hz, From: from}, s)
	if got := list[2].now.Loss.Place; words(list) != "searching (rate unknown), locked, lost (rate unknown)" || got < doubtful || got > doubtful+time.Second {
		t.Errorf("from the top: %s at %v", words(list), got)
	}
}

// TestWrongRate: code of another rate than the one that was named is not followed, at
// the latest where a second turns over.
func TestWrongRate(t *testing.T) {
	t.Parallel()
	for _, named := range timebase.Rates {
		for _, rate := range timebase.Rates {
			s := code(t, rate, timebase.Timecode{H: 1, M: 1, S: 10, Drop: rate.Drop()}.String(), 50, hz)
			list := followed(t, Config{SampleRate: hz, From: from, Rate: named}, s)
			end := list[len(list)-1].now
			near := named.Count() == rate.Count() && named.Drop() == rate.Drop() // 0.1 % is a matter of speed
			if near != (end.State == Locked) || !near && end.Why != WrongRate {
				t.Errorf("%s named, code at %s: %s, %d", named, rate, end.State, end.Why)
			}
		}
	}
}

// TestPoorSound: code at -40 dBFS, with hiss 20 dB below it and hum as loud as it is,
// is followed without a break.
func TestPoorSound(t *testing.T) {
	t.Parallel()
	for _, rate := range timebase.Rates {
		for _, sampleRate := range []int{44100, 48000, 96000} {
			first := rate.Timecode(90000)
			s := noisy(scaled(code(t, rate, first.String(), 100, sampleRate), -28), sampleRate, -60, -50)
			list := followed(t, Config{SampleRate: sampleRate, From: first}, s)
			end := list[len(list)-1].now
			if words(list) != "locked" || (end.Place-rate.At(100)).Abs() > 2*time.Millisecond {
				t.Errorf("%s at %d Hz: %s, at %v of %v", rate, sampleRate, words(list), end.Place, rate.At(100))
			}
		}
	}
}

// TestJump: a jump says from which label to which.
func TestJump(t *testing.T) {
	t.Parallel()
	s := slices.Concat(code(t, timebase.FPS25, "01:00:00:00", 50, hz), code(t, timebase.FPS25, "01:07:06:05", 50, hz))
	list := followed(t, Config{SampleRate: hz, From: from}, s)
	loss := list[len(list)-1].now.Loss
	if loss.From.String() != "01:00:02:00" || loss.To.String() != "01:07:06:05" || loss.N != 1 {
		t.Errorf("from %s to %s", loss.From, loss.To)
	}
}

// TestWriteAllocatesNothing, nor does At: both run in the loop of a run.
func TestWriteAllocatesNothing(t *testing.T) {
	s := code(t, timebase.FPS25, "01:00:00:00", 50, hz)
	r, err := NewLTC(Config{SampleRate: hz, From: from})
	if err != nil {
		t.Fatal(err)
	}
	r.Write(s[:hz])
	if n := testing.AllocsPerRun(20, func() { r.Write(s[hz : hz+480]); r.At(r.Sample()) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func TestRefuses(t *testing.T) {
	if _, err := NewLTC(Config{SampleRate: 4000}); err == nil || !strings.Contains(err.Error(), "4000 samples a second") {
		t.Error(err)
	}
}
