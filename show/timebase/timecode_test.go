package timebase

import (
	"math"
	"math/big"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// ST 12-1 clause 5.2.2, frames and labels of 29.97 drop frame. The moments are
// index*1001/30000 s to a microsecond, worked out by hand.
var dropTable = []struct {
	index  int64
	label  string
	micros int64
}{
	{0, "00:00:00;00", 0},
	{1799, "00:00:59;29", 60026633},
	{1800, "00:01:00;02", 60060000},
	{3597, "00:01:59;29", 120019900},
	{3598, "00:02:00;02", 120053267},
	{17981, "00:09:59;29", 599966033},
	{17982, "00:10:00;00", 599999400},
	{19781, "00:10:59;29", 660026033},
	{19782, "00:11:00;02", 660059400},
	{107892, "01:00:00;00", 3599996400},
	{2589407, "23:59:59;29", 86399880233},
}

func TestDropFrame(t *testing.T) {
	for _, row := range dropTable {
		if got := FPS2997Drop.Timecode(row.index).String(); got != row.label {
			t.Errorf("frame %d is %s, want %s", row.index, got, row.label)
		}
		label, err := ParseTimecode(row.label)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := FPS2997Drop.Index(label); got != row.index || err != nil {
			t.Errorf("%s is frame %d, %v, want %d", row.label, got, err, row.index)
		}
		if got := FPS2997Drop.At(row.index).Round(time.Microsecond).Microseconds(); got != row.micros {
			t.Errorf("frame %d is at %d us, want %d", row.index, got, row.micros)
		}
	}
}

func TestDayFrames(t *testing.T) {
	// 2589408 for drop frame: 17982 in ten minutes, by the rule of ST 12-1.
	for r, want := range map[Rate]int64{FPS23976: 2073600, FPS24: 2073600, FPS25: 2160000, FPS2997: 2592000, FPS2997Drop: 2589408, FPS30: 2592000} {
		if got := r.DayFrames(); got != want {
			t.Errorf("%s: %d frames a day, want %d", r, got, want)
		}
		if got := r.Timecode(want); got != (Timecode{Drop: r.Drop()}) {
			t.Errorf("%s: the day after begins with %s", r, got)
		}
		if got, want := r.Timecode(-1), (Timecode{23, 59, 59, r.Count() - 1, r.Drop()}); got != want {
			t.Errorf("%s: the day before ends with %s, want %s", r, got, want)
		}
	}
}

func anyRate(t *rapid.T) Rate { return rapid.SampledFrom(Rates).Draw(t, "rate") }

func TestLabelsAndFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRate(t)
		k := rapid.Int64Range(0, r.DayFrames()-2).Draw(t, "frame")
		label, next := r.Timecode(k), r.Timecode(k+1)
		if back, err := r.Index(label); back != k || err != nil {
			t.Fatalf("frame %d is %s is frame %d, %v", k, label, back, err)
		}
		if back, err := ParseTimecode(label.String()); back != label || err != nil {
			t.Fatalf("%s reads as %s, %v", label, back, err)
		}
		if a, b := label.String(), next.String(); a >= b {
			t.Fatalf("%s is not before %s", a, b)
		}
	})
}

func TestIndexRefuses(t *testing.T) {
	for _, row := range []struct {
		rate  Rate
		label Timecode
		want  string
	}{
		{FPS25, Timecode{F: 25}, "23:59:59:24 at 25"},
		{FPS24, Timecode{F: 24}, "23:59:59:23 at 24"},
		{FPS30, Timecode{H: 24}, "00:00:00:00 to 23:59:59:29"},
		{FPS30, Timecode{M: -1}, "00:00:00:00"},
		{FPS30, Timecode{Drop: true}, "hh:mm:ss:ff at 30"},
		{FPS2997, Timecode{Drop: true}, "hh:mm:ss:ff at 29.97"},
		{FPS2997Drop, Timecode{}, "hh:mm:ss;ff at 29.97 drop"},
		{FPS2997Drop, Timecode{M: 1, Drop: true}, "leaves out 00 and 01"},
		{FPS2997Drop, Timecode{M: 59, F: 1, Drop: true}, "leaves out 00 and 01"},
	} {
		if _, err := row.rate.Index(row.label); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s at %s: %v, want something about %q", row.label, row.rate, err, row.want)
		}
	}
	if _, err := FPS2997Drop.Index(Timecode{M: 10, Drop: true}); err != nil {
		t.Errorf("minute 10 drops nothing, but: %v", err)
	}
}

func TestParseTimecodeRefuses(t *testing.T) {
	for _, s := range []string{"", "1:2:3:4", "00:00:00", "00:00:00:0a", "00:00:00.00", "00;00:00:00", "24:00:00:00",
		"00:60:00:00", "00:00:60:00", "00:00:00:30", "+1:00:00:00", "00:00:00:000", "\u0660\u0660:00:00:00"} {
		if got, err := ParseTimecode(s); err == nil {
			t.Errorf("%q reads as %s", s, got)
		}
	}
}

// TestParseLabel: a label of drop frame makes 29.97 drop, and what a rate does
// not have is refused with what it has.
func TestParseLabel(t *testing.T) {
	for _, row := range []struct {
		rate  Rate
		label string
		want  Rate
		err   string
	}{
		{FPS25, "01:00:00:24", FPS25, ""},
		{FPS2997, "00:01:00:00", FPS2997, ""},
		{FPS2997, "00:10:00;00", FPS2997Drop, ""},
		{FPS2997Drop, "00:01:00;02", FPS2997Drop, ""},
		{FPS2997, "00:01:00;00", 0, `found the timecode label "00:01:00;00"; wanted a frame from 02 on`},
		{FPS2997Drop, "00:01:00:02", 0, "wanted hh:mm:ss;ff at 29.97 drop"},
		{FPS25, "1:00:00:00", 0, `found the timecode label "1:00:00:00"; wanted hh:mm:ss:ff at 25`},
		{FPS25, "24:00:00:00", 0, "wanted 00:00:00:00 to 23:59:59:24 at 25"},
	} {
		rate, label, err := ParseLabel(row.rate, row.label)
		switch {
		case row.err == "" && (err != nil || rate != row.want || label.String() != row.label):
			t.Errorf("%s at %s: %s at %s, %v", row.label, row.rate, label, rate, err)
		case row.err != "" && (err == nil || !strings.Contains(err.Error(), row.err)):
			t.Errorf("%s at %s: %v; want %q", row.label, row.rate, err, row.err)
		}
	}
}

func FuzzParseTimecode(f *testing.F) {
	for _, row := range dropTable {
		f.Add(row.label)
	}
	f.Add("23:59:59:24")
	f.Add("99:99:99;99")
	f.Fuzz(func(t *testing.T, s string) {
		label, err := ParseTimecode(s)
		if err != nil {
			if len(err.Error()) > 300 {
				t.Fatalf("an error of %d bytes", len(err.Error()))
			}
			return
		}
		if label.String() != s {
			t.Fatalf("%q reads as %s", s, label)
		}
	})
}

func TestParseRate(t *testing.T) {
	for _, r := range Rates {
		if got, err := ParseRate(r.String()); got != r || err != nil {
			t.Errorf("%s reads as %s, %v", r, got, err)
		}
	}
	if _, err := ParseRate("29.98"); err == nil || !strings.Contains(err.Error(), "29.97 drop, 30") {
		t.Errorf("29.98: %v", err)
	}
}

// TestSample holds the start of frames over ten days against rational
// arithmetic.
func TestSample(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRate(t)
		sampleRate := rapid.IntRange(8_000, 192_000).Draw(t, "sample rate")
		k := rapid.Int64Range(-1000, 10*r.DayFrames()).Draw(t, "frame")
		num, den := r.Fraction()
		exact := new(big.Rat).Mul(big.NewRat(k*int64(sampleRate), num), big.NewRat(den, 1))
		got := r.Sample(k, sampleRate)
		off := new(big.Rat).Sub(big.NewRat(got, 1), exact)
		half := big.NewRat(1, 2)
		if off.Cmp(half) > 0 || off.Cmp(new(big.Rat).Neg(half)) <= 0 {
			t.Fatalf("frame %d starts at %s, not nearest to %d", k, exact.FloatString(3), got)
		}
		for _, sample := range []int64{got, r.Sample(k+1, sampleRate) - 1} {
			if at := r.FrameAt(sample, sampleRate); at != k {
				t.Fatalf("sample %d is in frame %d, want %d", sample, at, k)
			}
		}
	})
}

// 29.97 without drop frame loses 3.6 s an hour: 108000 frames last 3603.6 s.
func TestAt(t *testing.T) {
	if got, want := FPS2997.At(108000), 3603600*time.Millisecond; got != want {
		t.Errorf("an hour of labels lasts %s, want %s", got, want)
	}
	if got := FPS25.At(math.MaxInt32); got != math.MaxInt32*40*time.Millisecond {
		t.Errorf("at %s", got)
	}
}
