package loudness

import (
	"fmt"
	"math"
	"testing"
)

// Source of every case in this file: EBU Tech 3341 version 4 (November 2023),
// table 1, and EBU Tech 3342, table 1. Sines are 1 kHz in phase on both
// channels; levels are each channel's peak.

const ebuRate = 48000

func TestTech3341Integrated(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	for _, c := range []struct {
		name   string
		parts  []part
		want   float64
		steady bool // S and M read the same
	}{
		{"case 1", []part{{20, -23}}, -23, true},
		{"case 2", []part{{20, -33}}, -33, true},
		{"case 3", []part{{10, -36}, {60, -23}, {10, -36}}, -23, false},
		{"case 4", []part{{10, -72}, {10, -36}, {60, -23}, {10, -36}, {10, -72}}, -23, false},
		{"case 5", []part{{20, -26}, {20.1, -20}, {20, -26}}, -23, false},
	} {
		m, err := New(ebuRate, 2, Options{})
		if err != nil {
			t.Fatal(err)
		}
		m.Write(sines(ebuRate, 1000, c.parts...))
		r := m.Result()
		near(t, c.name+" I", r.Integrated, c.want, 0.1)
		if c.steady {
			near(t, c.name+" S", m.ShortTerm(), c.want, 0.1)
			near(t, c.name+" M", m.Momentary(), c.want, 0.1)
			near(t, c.name+" max S", r.ShortTermMax, c.want, 0.1)
			near(t, c.name+" max M", r.MomentaryMax, c.want, 0.1)
		}
	}
}

// Case 6 is five channels. Loudness adds the channels' powers, so that three
// meters stand for it, the surround one with its weight of 1.41.
func TestTech3341Surround(t *testing.T) {
	t.Parallel()
	var blocks []float64
	for _, c := range []struct {
		channels int
		peakDB   float64
		weight   float64
	}{{2, -28, 1}, {1, -24, 1}, {2, -30, 1.41}} {
		m, err := New(ebuRate, c.channels, Options{})
		if err != nil {
			t.Fatal(err)
		}
		m.levels.weight[0] *= c.weight
		m.levels.weight[1] *= c.weight
		m.Write(sines(ebuRate, 1000, part{20, c.peakDB}))
		if blocks == nil {
			blocks = make([]float64, len(m.levels.gating))
		}
		for i, p := range m.levels.gating {
			blocks[i] += p
		}
	}
	near(t, "case 6 I", loudnessOf(integrated(blocks)), -23, 0.1)
	// Read off libebur128 1.2.6.
	near(t, "case 6 I", loudnessOf(integrated(blocks)), -23.016, 0.01)
}

// Cases 9 and 12: a pattern as long as the window reads constant once one
// window has passed, at every moment.
func TestTech3341Constant(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		parts []part
		from  float64 // seconds
		read  func(*Meter) Level
	}{
		{"case 9 S", repeated(5, part{1.34, -20}, part{1.66, -30}), 3, (*Meter).ShortTerm},
		{"case 12 M", repeated(25, part{0.18, -20}, part{0.22, -30}), 1, (*Meter).Momentary},
	} {
		m, err := New(ebuRate, 2, Options{})
		if err != nil {
			t.Fatal(err)
		}
		frames := sines(ebuRate, 1000, c.parts...)
		const tick = ebuRate / 100
		for i := 0; i+tick <= len(frames); i += tick {
			m.Write(frames[i : i+tick])
			if at := float64(i+tick) / ebuRate; at >= c.from {
				near(t, fmt.Sprintf("%s at %.2f s", c.name, at), c.read(m), -23, 0.1)
			}
		}
	}
}

func TestTech3341Maximum(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	shortTerm := func(r Result) Level { return r.ShortTermMax }
	momentary := func(r Result) Level { return r.MomentaryMax }
	for i := range 20 {
		n := float64(i)
		whole := measured(t, ebuRate, 2, Options{}, sines(ebuRate, 1000, part{n * 0.15, silence}, part{3, -23}, part{1, silence}))
		near(t, fmt.Sprintf("case 10 file %d", i), shortTerm(whole), -23, 0.1)
		whole = measured(t, ebuRate, 2, Options{}, sines(ebuRate, 1000, part{n * 0.02, silence}, part{0.4, -23}, part{1, silence}))
		near(t, fmt.Sprintf("case 13 file %d", i), momentary(whole), -23, 0.1)
	}
	// Cases 11 and 14 are one stream each, louder with every step, so the
	// maximum is read after each.
	steps := []struct {
		name        string
		gap, length float64
		read        func(Result) Level
	}{{"case 11", 0.15, 3, shortTerm}, {"case 14", 0.02, 0.4, momentary}}
	for _, c := range steps {
		m, err := New(ebuRate, 2, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range 20 {
			n := float64(i)
			m.Write(sines(ebuRate, 1000, part{n * c.gap, silence}, part{c.length, n - 38}, part{c.length - n*c.gap, silence}))
			near(t, fmt.Sprintf("%s step %d", c.name, i), c.read(m.Result()), n-38, 0.1)
		}
	}
}

func TestTech3341TruePeak(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		part      int // of the rate: the sine's frequency
		amplitude float64
		degrees   float64
		sample    float64 // dBFS, the sample peak those phases leave
		want      float64 // dBTP
	}{
		{"case 15", 4, 0.50, 0, -6.0, -6},
		{"case 16", 4, 0.50, 45, -9.0, -6},
		{"case 17", 6, 0.50, 60, -7.3, -6},
		{"case 18", 8, 0.50, 67.5, -6.7, -6},
		{"case 19", 4, 1.41, 45, 0.0, 3},
	} {
		frames := make([][2]float64, 2*ebuRate)
		for i := range frames {
			fade := min(1, float64(i)/480, float64(len(frames)-1-i)/480) // 10 ms
			v := fade * c.amplitude * math.Sin(2*math.Pi*float64(i%c.part)/float64(c.part)+c.degrees*math.Pi/180)
			frames[i] = [2]float64{v, v}
		}
		r := measured(t, ebuRate, 2, Options{}, frames)
		if float64(r.TruePeak) > c.want+0.2 || float64(r.TruePeak) < c.want-0.4 {
			t.Errorf("%s true peak is %.3f dBTP, wanted %.1f +0.2/-0.4", c.name, r.TruePeak, c.want)
		}
		near(t, c.name+" sample peak", r.SamplePeak, c.sample, 0.06)
	}
}

func TestTech3342Range(t *testing.T) {
	t.Parallel()
	for i, c := range []struct {
		levels []float64 // 20 s each
		want   float64   // LU
	}{
		{[]float64{-20, -30}, 10},
		{[]float64{-20, -15}, 5},
		{[]float64{-40, -20}, 20},
		{[]float64{-50, -35, -20, -35, -50}, 15},
	} {
		var parts []part
		for _, l := range c.levels {
			parts = append(parts, part{20, l})
		}
		r := measured(t, ebuRate, 2, Options{}, sines(ebuRate, 1000, parts...))
		near(t, fmt.Sprintf("case %d range", i+1), r.Range, c.want, 1)
	}
}

// TestRelativeGate tells a relative gate of -10 LU from its neighbours, which no
// case of the tables does. By hand, from ITU-R BS.1770-5, annex 1: 10 s at -20 LUFS
// and as many at x of its power have a mean of (1+x)/2. At x = 0.0672, or -11.73
// LU, the soft part lies 9 LU below that mean and counts: I = -20 + 10 log10
// 0.5336. At x = 0.0413, or -13.84 LU, it lies 11 LU below and does not: I = -20.
func TestRelativeGate(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ soft, want float64 }{{-31.73, -22.73}, {-33.84, -20}} {
		m, err := New(ebuRate, 2, Options{})
		if err != nil {
			t.Fatal(err)
		}
		m.Write(sines(ebuRate, 1000, part{10, -20}, part{10, c.soft}))
		near(t, fmt.Sprintf("beside %v LUFS", c.soft), m.Result().Integrated, c.want, 0.12)
	}
}
