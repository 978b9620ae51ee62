package exchange

import (
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// TestDropFrame: labels, frame counts and real times of drop-frame timecode,
// SMPTE ST 12-1:2014, 5.2.2, as open test suites have them (1800 = 00:01:00;02,
// 17982 = 00:10:00;00, 107892 = 01:00:00;00, 2589407 = 23:59:59;29).
func TestDropFrame(t *testing.T) {
	rate := timebase.FPS2997Drop
	for _, c := range []struct {
		label string
		frame int64
		at    float64 // seconds at 30000/1001
	}{
		{"00:00:59;29", 1799, 60.026633},
		{"00:01:00;02", 1800, 60.060000},
		{"00:01:59;29", 3597, 120.019900},
		{"00:02:00;02", 3598, 120.053267},
		{"00:09:59;29", 17981, 599.966033},
		{"00:10:00;00", 17982, 599.999400},
		{"00:10:59;29", 19781, 660.026033},
		{"00:11:00;02", 19782, 660.059400},
		{"01:00:00;00", 107892, 3599.996400},
		{"23:59:59;29", 2589407, 86399.880233},
	} {
		r := timeReader{notation: Frames, point: '.', rate: rate}
		got, err := r.read(c.label)
		if err != nil {
			t.Errorf("%s: %v", c.label, err)
			continue
		}
		if rate.At(c.frame) != got {
			t.Errorf("%s: %v; want frame %d, %v", c.label, got, c.frame, rate.At(c.frame))
		}
		if want := time.Duration(c.at * 1e9); (got - want).Abs() > time.Microsecond {
			t.Errorf("%s: %v; want %v", c.label, got, want)
		}
	}
	for _, label := range []string{"00:01:00;00", "00:01:00;01", "00:59:00;00"} {
		if d, err := (timeReader{notation: Frames, rate: rate}).read(label); err != errDropped {
			t.Errorf("%s: %v, %v; want it refused as a label that does not exist", label, d, err)
		}
	}
}

// TestDropFrameLabels: there are 2589408 labels in a day, and each has a frame
// of its own in order (the count of SMPTE ST 12-1 drop frame).
func TestDropFrameLabels(t *testing.T) {
	rate := timebase.FPS2997Drop
	next := int64(0)
	for h := range int64(24) {
		for m := range int64(60) {
			for s := range int64(60) {
				for f := range int64(30) {
					n, err := index(rate, h, m, s, f)
					if err != nil {
						continue
					}
					if n != next {
						t.Fatalf("%d:%d:%d;%d is frame %d; want %d", h, m, s, f, n, next)
					}
					next++
				}
			}
		}
	}
	if next != 2589408 {
		t.Errorf("%d labels a day; want 2589408", next)
	}
}

func TestTimes(t *testing.T) {
	ms := time.Millisecond
	for _, c := range []struct {
		s, notation string
		point       byte
		rate        string
		want        time.Duration
		err         error
	}{
		{"83.25", Auto, '.', "", 83250 * ms, nil},
		{"83,25", Auto, ',', "", 83250 * ms, nil},
		{"83,25", Auto, '.', "", 0, errComma},
		{"83.25", Auto, ',', "", 0, errPoint},
		{" 1:23.4 ", Auto, '.', "", 83400 * ms, nil},
		{"90:05", Auto, '.', "", 5405000 * ms, nil},
		{"1:02:03.5", Auto, '.', "", 3723500 * ms, nil},
		{"1:5.5", Clock, '.', "", 65500 * ms, nil},
		{"1:60", Auto, '.', "", 0, errSixty},
		{"1:60:00", Auto, '.', "", 0, errSixty},
		{"0:00:10:12", Auto, '.', "25", 10480 * ms, nil},
		{"0:00:10:12", Auto, '.', "", 0, errNoRate},
		{"10:12", Frames, '.', "25", 10480 * ms, nil},
		{"1:00:00:00", Auto, '.', "29.97ndf", 3603600 * ms, nil}, // runs slow by 3.6 s an hour (SMPTE ST 12-1)
		{"1:00:00:00", Auto, '.', "24", 3600000 * ms, nil},
		{"0:00:00:25", Auto, '.', "25", 0, errFrameHigh},
		{"00:00:01;29", Auto, '.', "30", time.Second + 966666667, nil},
		{"83250", Milliseconds, '.', "", 83250 * ms, nil},
		{"2200ms", Auto, '.', "", 2200 * ms, nil},
		{"2.2 s", Milliseconds, '.', "", 2200 * ms, nil},
		{"12.300000000000001", Auto, '.', "", 12300 * ms, nil},
		{"24:00:00", Auto, '.', "", 24 * time.Hour, nil},
		{"24:00:01", Auto, '.', "", 0, errLong},
		{"99999999999999999999", Auto, '.', "", 0, errLong},
		{"99999999999999999999:00", Auto, '.', "", 0, errLong},
		{"-1", Auto, '.', "", 0, errNegative},
		{"\u22121", Auto, '.', "", 0, errNegative},
		{"1e3", Auto, '.', "", 0, errTime},
		{"5.", Auto, '.', "", 0, errTime},
		{".5", Auto, '.', "", 0, errTime},
		{"1:02", Seconds, '.', "", 0, errNumber},
		{"1::2", Auto, '.', "", 0, errTime},
		{"1:2:3:4:5", Auto, '.', "25", 0, errFrames},
		{"NaN", Auto, '.', "", 0, errTime},
	} {
		rate := rateNamed(c.rate)
		got, err := timeReader{notation: c.notation, point: c.point, rate: rate}.read(c.s)
		if got != c.want || err != c.err {
			t.Errorf("%q as %s at %s: %v, %v; want %v, %v", c.s, c.notation, c.rate, got, err, c.want, c.err)
		}
	}
	// A prefire of so many frames.
	rate := timebase.FPS25
	if d, err := (timeReader{Frames, '.', rate, true}).read("55"); d != 2200*ms || err != nil {
		t.Errorf("55 frames at 25: %v, %v; want 2.2 s", d, err)
	}
}

// TestWrittenTimesAreRead: the two notations of a show file, by any decimal
// character, come back exactly.
func TestWrittenTimesAreRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := time.Duration(rapid.Int64Range(0, 86_400_000).Draw(t, "ms")) * time.Millisecond
		r := timeReader{notation: Auto, point: '.'}
		if got, err := r.read(decimalSeconds(want)); got != want || err != nil {
			t.Fatalf("%s: %v, %v", decimalSeconds(want), got, err)
		}
	})
}
