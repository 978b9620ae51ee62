package ltc

import (
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

// The reference of this file is libltc (Debian libltc-dev, 1.3.2), through the
// small program testdata/reference.c.

func libltc(t testing.TB) func(stdin []byte, args ...any) []byte {
	t.Helper()
	return reftest.Libltc(t, "testdata/reference.c")
}

// standard is libltc's enum LTC_TV_STANDARD for r.
func standard(r timebase.Rate) int {
	switch r.Count() {
	case 25:
		return 1
	case 24:
		return 3
	}
	return 0
}

func flag(b bool) int {
	if b {
		return 1
	}
	return 0
}

// libFrame is a line that the reference reads.
type libFrame struct {
	label         string
	drop, reverse int
	start, end    int64
	bytes         string
}

func libRead(t testing.TB, run func([]byte, ...any) []byte, samples []float64, rate int, r timebase.Rate) (list []libFrame) {
	t.Helper()
	raw := make([]byte, 0, 4*len(samples))
	for _, x := range samples {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(float32(x)))
	}
	for line := range strings.Lines(string(run(raw, "read", rate, int(float64(rate)/r.FPS())))) {
		var f libFrame
		if _, err := fmt.Sscan(line, &f.label, &f.drop, &f.reverse, &f.start, &f.end, &f.bytes); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		list = append(list, f)
	}
	return list
}

func libWrite(run func([]byte, ...any) []byte, r timebase.Rate, rate int, start timebase.Timecode, count int, speed float64) []float64 {
	num, den := r.Fraction()
	raw := run(nil, "write", rate, num, den, standard(r), flag(r.Drop()), start.H, start.M, start.S, start.F, count, speed)
	return reftest.LibltcSamples(raw)
}

func TestLibltc(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	run := libltc(t)
	t.Run("reads what we write", func(t *testing.T) { libltcReads(t, run) })
	t.Run("writes what we read", func(t *testing.T) { libltcWrites(t, run) })
	t.Run("counts and packs alike", func(t *testing.T) { libltcCounts(t, run) })
	t.Run("dates alike", func(t *testing.T) { libltcDates(t, run) })
}

// libltcReads: every frame that we write is found by libltc, forwards and
// backwards, at nominal speed and 10 % off, with the same 80 bits. libltc wants
// the edge after a forward frame, and after a backward one the sync word of the
// next. At nominal speed the sample it names as the start is within 2 of ours,
// but for the very first frame, before which it has nothing to go by.
func libltcReads(t *testing.T, run func([]byte, ...any) []byte) {
	const count = 40
	for _, r := range timebase.Rates {
		for _, speed := range []float64{0.9, 1, 1.1} {
			// Sound made for another sample rate runs at another speed.
			made := int(math.Round(48000 / speed))
			c := Config{Rate: r, SampleRate: made, Start: startFor(r), Level: -6, Extras: Extras{User: 0xFEDC1234}}
			samples := sound(t, c, int(r.Sample(count, made))+8)
			wantLib(t, libRead(t, run, samples, 48000, r), c, speed, count, false)

			samples = frameSound(t, c, count+1)
			wantLib(t, libRead(t, run, reversed(samples), 48000, r), c, speed, count, true)
		}
	}
}

// wantLib fails unless got are count frames as c says: forwards those from
// c.Start on, or backwards those from the one that is count further on.
func wantLib(t *testing.T, got []libFrame, c Config, speed float64, count int, reverse bool) {
	t.Helper()
	first, _ := c.Rate.Index(c.Start)
	for i, f := range got {
		k := int64(i)
		if reverse {
			k = int64(count - i)
		}
		want := NewWord(c.Rate, c.Rate.Timecode(first+k), c.Extras)
		// Backwards libltc leaves the sync word as it was heard.
		if f.bytes[:16] != fmt.Sprintf("%x", want[:8]) || f.reverse != flag(reverse) {
			t.Fatalf("%s x%g: frame %d is %+v, want %x, reverse %v", c.Rate, speed, i, f, want, reverse)
		}
		at := c.Rate.Sample(k, c.SampleRate)
		if speed == 1 && !reverse && i > 0 && abs(f.start-at) > 2 {
			t.Errorf("%s: frame %d starts at %d, want %d", c.Rate, i, f.start, at)
		}
	}
	if len(got) != count {
		t.Errorf("%s x%g reverse %v: libltc finds %d of %d frames", c.Rate, speed, reverse, len(got), count)
	}
}

func abs(x int64) int64 { return max(x, -x) }

// libltcWrites: every frame that libltc writes is found, at nominal speed and
// 10 % off, forwards and backwards.
func libltcWrites(t *testing.T, run func([]byte, ...any) []byte) {
	const count = 40
	for _, r := range timebase.Rates {
		start := startFor(r)
		first, _ := r.Index(start)
		for _, rate := range []int{44100, 48000} {
			for _, stretch := range []float64{1 / 0.9, 1, 1 / 1.1, -1 / 0.9, -1, -1 / 1.1} {
				found := decode(t, libWrite(run, r, rate, start, count, stretch), rate)
				for i, f := range found {
					want := r.Timecode(first + int64(i))
					if stretch < 0 {
						want = r.Timecode(first - int64(i))
					}
					if f.Timecode != want || f.Reverse != (stretch < 0) {
						t.Fatalf("%s stretched x%.2f: frame %d is %s (reverse %v), want %s", r, stretch, i, f.Timecode, f.Reverse, want)
					}
				}
				if len(found) != count {
					t.Errorf("%s, %d Hz, stretched x%.2f: %d of %d frames found", r, rate, stretch, len(found), count)
				}
			}
		}
	}
}

// libltcCounts: the 80 bits of every frame of a day are the same, at each way
// of counting; so are drop frame and polarity bit.
func libltcCounts(t *testing.T, run func([]byte, ...any) []byte) {
	for _, r := range []timebase.Rate{timebase.FPS24, timebase.FPS25, timebase.FPS2997Drop, timebase.FPS30} {
		h := fnv.New64a()
		var w Word
		for k := range r.DayFrames() {
			w = NewWord(r, r.Timecode(k), Extras{})
			h.Write(w[:])
		}
		got := fmt.Sprintf("%016x %x\n", h.Sum64(), w[:])
		if want := string(run(nil, "day", r.Count(), standard(r), flag(r.Drop()), r.DayFrames())); got != want {
			t.Errorf("%s: a day is %s, libltc has %s", r, got, want)
		}
	}
}

// libltcDates: the same user bits for a date in each time zone that has a code.
func libltcDates(t *testing.T, run func([]byte, ...any) []byte) {
	minutes := make([]int, 0, len(zones))
	for m := range zones {
		minutes = append(minutes, m)
	}
	slices.Sort(minutes)
	for _, m := range minutes {
		zone := fmt.Sprintf("%+03d%02d", m/60, max(m, -m)%60)
		if m < 0 && m > -60 {
			zone = fmt.Sprintf("-00%02d", -m)
		}
		day := time.Date(2034, 12, 27, 20, 0, 0, 0, time.FixedZone("", 60*m))
		got := fmt.Sprintf("%08x\n", uint32(DateBits(day)))
		if want := string(run(nil, "date", 34, 12, 27, zone)); got != want {
			t.Errorf("zone %s: user bits %s, libltc has %s", zone, got, want)
		}
	}
}
