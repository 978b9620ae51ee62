package ltc

import (
	"encoding/hex"
	"math/bits"
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// Frames worked out from the tables of ST 12-1, checked with libltc 1.3.2; the
// last is the example in the documentation of an open ST 12-1 codec, which has
// all flags set and the user bits 1 to 8.
func TestWord(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		label string
		rate  timebase.Rate
		bytes string
	}{
		{"00:00:00:00", timebase.FPS30, "00 00 00 08 00 00 00 00 FC BF"},
		{"00:00:00:00", timebase.FPS25, "00 00 00 00 00 00 00 08 FC BF"},
		{"01:23:45:13", timebase.FPS30, "03 01 05 0C 03 02 01 00 FC BF"},
		{"01:23:45:13", timebase.FPS25, "03 01 05 04 03 02 01 08 FC BF"},
		{"10:20:30:12", timebase.FPS25, "02 01 00 03 00 02 00 09 FC BF"},
		{"23:59:59:24", timebase.FPS25, "04 02 09 05 09 05 03 02 FC BF"},
		{"23:59:59:29", timebase.FPS30, "09 02 09 0D 09 05 03 02 FC BF"},
		{"00:00:59;29", timebase.FPS2997Drop, "09 06 09 0D 00 00 00 00 FC BF"},
		{"00:01:00;02", timebase.FPS2997Drop, "02 04 00 00 01 00 00 00 FC BF"},
	} {
		label, err := timebase.ParseTimecode(row.label)
		if err != nil {
			t.Fatal(err)
		}
		w := NewWord(row.rate, label, Extras{})
		if want := unhex(t, row.bytes); w != want {
			t.Errorf("%s at %s is % X, want % X", row.label, row.rate, w, want)
		}
		if got, ok := w.Timecode(); got != label || !ok {
			t.Errorf("% X reads as %s, %v", w, got, ok)
		}
	}
	w := unhex(t, "13 29 35 4C 53 6A 71 88 FC BF")
	if got, ok := w.Timecode(); !ok || got != (timebase.Timecode{H: 1, M: 23, S: 45, F: 13, Drop: false}) {
		t.Errorf("the example reads as %s", got)
	}
	x := w.Extras(timebase.FPS30)
	if want := (Extras{User: 0x87654321, Groups: BGF0 | BGF2, Colour: true}); x != want {
		t.Errorf("the example carries %+v, want %+v", x, want)
	}
	if got := NewWord(timebase.FPS30, timebase.Timecode{H: 1, M: 23, S: 45, F: 13, Drop: false}, x); got != w {
		t.Errorf("the example is % X, want % X", got, w)
	}
}

func unhex(t *testing.T, s string) (w Word) {
	t.Helper()
	if n, err := hex.Decode(w[:], []byte(strings.ReplaceAll(s, " ", ""))); n != len(w) || err != nil {
		t.Fatalf("%q: %d bytes, %v", s, n, err)
	}
	return w
}

// The flag bits by rate, from the table of ST 12-1: BGF0 43, BGF1 58, BGF2 59
// and polarity 27; at 25 frames 27, 58, 43 and 59.
func TestFlagPlaces(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		rate     timebase.Rate
		groups   Groups
		bit      uint
		polarity uint
	}{
		{timebase.FPS24, BGF0, 43, 27}, {timebase.FPS30, BGF1, 58, 27}, {timebase.FPS2997, BGF2, 59, 27},
		{timebase.FPS25, BGF0, 27, 59}, {timebase.FPS25, BGF1, 58, 59}, {timebase.FPS25, BGF2, 43, 59},
	} {
		low := NewWord(row.rate, timebase.Timecode{}, Extras{Groups: row.groups}).low()
		// The sync word has 13 ones, the flag is the 14th: no correction.
		if want := uint64(1) << row.bit; low != want {
			t.Errorf("%s, flags %b: bits %#x, want %#x", row.rate, row.groups, low, want)
		}
		low = NewWord(row.rate, timebase.Timecode{F: 1}, Extras{Groups: row.groups}).low()
		if want := uint64(1)<<row.bit | 1<<row.polarity | 1; low != want {
			t.Errorf("%s, flags %b, frame 1: bits %#x, want %#x", row.rate, row.groups, low, want)
		}
	}
}

func TestWordRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := anyRate(t)
		label := r.Timecode(rapid.Int64Range(0, r.DayFrames()-1).Draw(t, "frame"))
		x := Extras{
			User:   UserBits(rapid.Uint32().Draw(t, "user")),
			Groups: Groups(rapid.IntRange(0, 7).Draw(t, "groups")),
			Colour: rapid.Bool().Draw(t, "colour"),
		}
		w := NewWord(r, label, x)
		ones := 0
		for _, b := range w {
			ones += bits.OnesCount8(b)
		}
		if ones%2 != 0 {
			t.Fatalf("% X has %d ones: the polarity would change", w, ones)
		}
		if got, ok := w.Timecode(); got != label || !ok {
			t.Fatalf("%s reads as %s, %v", label, got, ok)
		}
		if got := w.Extras(r); got != x {
			t.Fatalf("%+v reads as %+v", x, got)
		}
	})
}

func TestWordIsNoLabel(t *testing.T) {
	t.Parallel()
	for _, s := range []string{
		"0A 00 00 00 00 00 00 00 FC BF", "00 03 00 00 00 00 00 00 FC BF", "00 00 00 06 00 00 00 00 FC BF",
		"00 00 00 00 00 07 00 00 FC BF", "00 00 00 00 00 00 04 02 FC BF", "00 00 00 00 00 00 0F 00 FC BF",
	} {
		if got, ok := unhex(t, s).Timecode(); ok {
			t.Errorf("%s reads as %s", s, got)
		}
	}
}

func TestDate(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		day := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 36524).Draw(t, "day"))
		y, m, d, ok := DateBits(day).Date()
		if !ok || !time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Equal(day) {
			t.Fatalf("%s reads as %d-%d-%d, %v", day, y, m, d, ok)
		}
	})
	for _, u := range []UserBits{0, 0x00000100, 0x00000001, 0x00010230, 0x00011301, 0x0001010A, 0xFFFFFFFF} {
		if y, m, d, ok := u.Date(); ok {
			t.Errorf("%08x reads as %d-%d-%d", uint32(u), y, m, d)
		}
	}
	// Nepal's offset has no code in ST 309.
	if got := DateBits(time.Date(2034, 12, 27, 0, 0, 0, 0, time.FixedZone("", 345*60))) >> 24; got != 0x38 {
		t.Errorf("an offset without a code has the code %#x", uint32(got))
	}
}
