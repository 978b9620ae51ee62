package ltc

import (
	"math"
	"strings"
	"testing"

	"drylane/show/timebase"

	"github.com/faiface/beep"
	"pgregory.net/rapid"
)

var _ beep.StreamSeeker = (*Encoder)(nil)

// TestSeek: whatever is read after a seek is what a straight read gives there.
func TestSeek(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := Config{
			Rate:       anyRate(t),
			SampleRate: rapid.SampledFrom([]int{8000, 11025, 44100, 48000, 192000}).Draw(t, "sample rate"),
			Level:      -3,
		}
		c.Start = c.Rate.Timecode(rapid.Int64Range(0, c.Rate.DayFrames()-1).Draw(t, "start"))
		c.Length = c.SampleRate / 4
		e, err := NewEncoder(c)
		if err != nil {
			t.Fatal(err)
		}
		straight := make([][2]float64, c.Length)
		if n, ok := e.Stream(straight); n != c.Length || !ok {
			t.Fatalf("%d of %d samples", n, c.Length)
		}
		if n, ok := e.Stream(make([][2]float64, 1)); n != 0 || ok {
			t.Fatalf("%d samples after the end", n)
		}
		for range 5 {
			p := rapid.IntRange(0, c.Length).Draw(t, "position")
			part := make([][2]float64, rapid.IntRange(0, 3000).Draw(t, "read"))
			if err := e.Seek(p); err != nil {
				t.Fatal(err)
			}
			n, _ := e.Stream(part)
			if want := min(len(part), c.Length-p); n != want || e.Position() != p+n {
				t.Fatalf("%d samples from %d, then at %d", n, p, e.Position())
			}
			for i := range n {
				if part[i] != straight[p+i] {
					t.Fatalf("sample %d is %v after a seek, %v in a straight read", p+i, part[i], straight[p+i])
				}
			}
		}
	})
}

// TestDayLong: frames at the end of a day start where rational arithmetic puts
// them, at a rate that is no whole number of samples.
func TestDayLong(t *testing.T) {
	t.Parallel()
	for _, r := range timebase.Rates {
		day := r.DayFrames()
		c := Config{Rate: r, SampleRate: 44100, Start: r.Timecode(0), Length: math.MaxInt64}
		e, err := NewEncoder(c)
		if err != nil {
			t.Fatal(err)
		}
		from := r.Sample(day-10, 44100)
		if err := e.Seek(int(from)); err != nil {
			t.Fatal(err)
		}
		if got, want := e.TimecodeAt(int(from)), r.Timecode(day-10); got != want {
			t.Errorf("sample %d belongs to %s, want %s", from, got, want)
		}
		buf := make([][2]float64, 44100)
		e.Stream(buf)
		mono := make([]float64, len(buf))
		for i, f := range buf {
			mono[i] = f[0]
		}
		num, den := r.Fraction()
		found := decode(t, mono, 44100)
		if len(found) != r.Count() && len(found) != r.Count()-1 { // one second
			t.Errorf("%s: %d frames in a second", r, len(found))
		}
		for i, f := range found {
			k := day - 10 + int64(i)
			if f.Timecode != r.Timecode(k) {
				t.Fatalf("%s: frame %d is %s, want %s", r, k, f.Timecode, r.Timecode(k))
			}
			// k*44100*den < 2^53: exact up to the division.
			want := float64(k*44100*den)/float64(num) - float64(from)
			if math.Abs(f.Start-want) > 0.1 {
				t.Fatalf("%s: frame %d starts at %.3f, want %.3f", r, k, f.Start, want)
			}
		}
	}
}

// TestEdges: ST 12-1 wants edges of 40 us +- 10 from 10 % to 90 %, and the
// level is that of the flat tops. Measured on every edge, between samples by a
// straight line, at rates with samples enough.
func TestEdges(t *testing.T) {
	t.Parallel()
	for _, rate := range []int{96000, 192000} {
		for _, level := range []float64{-18, -3, -40} {
			s := frameSound(t, Config{Rate: timebase.FPS25, SampleRate: rate, Start: timebase.Timecode{H: 10}, Level: level}, 5)
			top := math.Pow(10, level/20)
			peak := 0.0
			for _, x := range s {
				peak = max(peak, math.Abs(x))
			}
			if math.Abs(peak-top) > 1e-12 {
				t.Errorf("%d Hz: peak %g, want %g", rate, peak, top)
			}
			edges := 0
			low := -1.0 // when it last passed 10 %, in either direction
			for i := 1; i < len(s); i++ {
				a, b := s[i-1]/top, s[i]/top
				if b < a {
					a, b = -a, -b
				}
				if a < -0.8 && b >= -0.8 {
					low = float64(i-1) + (-0.8-a)/(b-a)
				}
				if a < 0.8 && b >= 0.8 && low >= 0 {
					micros := (float64(i-1) + (0.8-a)/(b-a) - low) / float64(rate) * 1e6
					if micros < 30 || micros > 50 {
						t.Fatalf("%d Hz: an edge of %.1f us at sample %d", rate, micros, i)
					}
					edges++
				}
			}
			if edges < 5*80 { // at least one a bit
				t.Errorf("%d Hz: only %d edges", rate, edges)
			}
		}
	}
}

// TestPolarity: with the correction bit every frame starts with a rising edge.
func TestPolarity(t *testing.T) {
	t.Parallel()
	for _, r := range timebase.Rates {
		s := frameSound(t, Config{Rate: r, SampleRate: 48000, Start: startFor(r)}, 40)
		for k := range int64(40) {
			if at := r.Sample(k, 48000); s[at+3] < 0 || k > 0 && s[at-3] > 0 {
				t.Errorf("%s: frame %d starts with a falling edge", r, k)
			}
		}
	}
}

func TestConfigRefuses(t *testing.T) {
	t.Parallel()
	good := Config{Rate: timebase.FPS25, SampleRate: 48000, Length: 1}
	for _, row := range []struct {
		change func(*Config)
		want   string
	}{
		{func(c *Config) { c.Rate = 0 }, "no frame rate 0"},
		{func(c *Config) { c.Rate = 99 }, "no frame rate 99"},
		{func(c *Config) { c.SampleRate = 7999 }, "want 8000 to 192000"},
		{func(c *Config) { c.SampleRate = 192001 }, "want 8000 to 192000"},
		{func(c *Config) { c.Start.F = 25 }, "23:59:59:24 at 25"},
		{func(c *Config) { c.Length = -1 }, "-1 samples"},
		{func(c *Config) { c.Level = 0.1 }, "0.1 dBFS"},
		{func(c *Config) { c.Level = math.NaN() }, "NaN dBFS"},
		{func(c *Config) { c.Level = -61 }, "-61 dBFS"},
	} {
		c := good
		row.change(&c)
		if _, err := NewEncoder(c); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%+v: %v, want something about %q", c, err, row.want)
		}
	}
	e, err := NewEncoder(good)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []int{-1, 2} {
		if e.Seek(p) == nil {
			t.Errorf("a seek to %d of 1", p)
		}
	}
}
