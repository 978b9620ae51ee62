package align

import (
	"context"
	"math"
	"math/rand/v2"
	"sync"
	"testing"
)

// master is 90 s of music at 22.05 kHz that most tests share.
var master = sync.OnceValue(func() music {
	return compose(score{seed: 1, rate: 22050, seconds: 90, bpm: 117})
})

func compare(t testing.TB, a, b music, opts Options) Result {
	t.Helper()
	r, err := Compare(context.Background(), a.audio(), b.audio(), opts)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// planted is what was done to the second file.
type planted struct {
	ms, ppm  float64
	gain     float64 // dB
	polarity int
	swapped  bool
}

// check holds r against what was planted, with tolerances for offset (ms), rate
// (ppm) and gain (dB).
func (p planted) check(t *testing.T, r Result, ms, ppm, gain float64) {
	t.Helper()
	if !r.Same || r.Verdict != Same {
		t.Fatalf("verdict %q, want %q: %+v", r.Verdict, Same, r)
	}
	if math.Abs(r.OffsetMs-p.ms) > ms {
		t.Errorf("offset %.4f ms, want %.4f within %g", r.OffsetMs, p.ms, ms)
	}
	if math.Abs(r.RatePPM-p.ppm) > ppm {
		t.Errorf("rate %.3f ppm, want %.3f within %g", r.RatePPM, p.ppm, ppm)
	}
	if math.Abs(r.GainDB-p.gain) > gain {
		t.Errorf("gain %.2f dB, want %.2f within %g", r.GainDB, p.gain, gain)
	}
	want := p.polarity
	if want == 0 {
		want = 1
	}
	if r.Polarity != want || r.Swapped != p.swapped {
		t.Errorf("polarity %d, swapped %t; want %d, %t", r.Polarity, r.Swapped, want, p.swapped)
	}
	if r.Confidence < 0.8 || r.Ambiguous {
		t.Errorf("confidence %.2f, ambiguous %t; want 0.8 or more, false", r.Confidence, r.Ambiguous)
	}
}

// labelled is m said to have another rate: its duration changes by exactly the
// ratio of the two.
func labelled(m music, rate int) music { return music{rate, m.frames} }

func ratePPM(ratio float64) float64 { return 1e6 * (ratio - 1) }

func TestPlanted(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	m := master()
	second := float64(m.rate) / 1000
	rnd := rand.New(rand.NewPCG(3, 4))
	level := loudLevel(monoOf(m), m.rate)
	noisy := func(db float64) music {
		g := level * math.Pow(10, -db/20)
		return m.mapped(func(_ int, v [2]float64) [2]float64 {
			return [2]float64{v[0] + g*rnd.NormFloat64(), v[1] + g*rnd.NormFloat64()}
		})
	}
	for _, c := range []struct {
		name  string
		b     music
		want  planted
		exact float64 // ms and ppm
	}{
		{"itself", m, planted{}, 0.001},
		{"573 frames late", m.cut(-573, len(m.frames)), planted{ms: 573 / second}, 0.001},
		{"60 s of the head missing", m.cut(60*m.rate+1, len(m.frames)), planted{ms: -60000 - 1/second}, 0.02},
		{"60 s of silence ahead", m.cut(-60*m.rate, len(m.frames)), planted{ms: 60000}, 0.02},
		{"60 s of the tail missing", m.cut(0, len(m.frames)-60*m.rate), planted{}, 0.02},
		{"12 dB down", m.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{v[0] / 4, v[1] / 4} }),
			planted{gain: -12.04}, 0.001},
		{"upside down", m.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{-v[0], -v[1]} }),
			planted{polarity: -1}, 0.001},
		{"left and right exchanged", m.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{v[1], v[0]} }),
			planted{swapped: true}, 0.001},
		{"upside down and exchanged", m.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{-v[1], -v[0]} }),
			planted{polarity: -1, swapped: true}, 0.001},
		{"mono", m.mapped(func(_ int, v [2]float64) [2]float64 { x := (v[0] + v[1]) / 2; return [2]float64{x, x} }),
			planted{}, 0.001},
		{"noise 20 dB under", noisy(20), planted{}, 0.05},
		{"noise 6 dB under", noisy(6), planted{}, 0.2},
		{"22.7 ppm fast", labelled(m, 44101), planted{ppm: ratePPM(22050. / 44101)}, 0.05},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := m
			if c.b.rate == 44101 { // half the rate would be no clock error
				a = labelled(m, 44100)
				c.want.ppm = ratePPM(44100. / 44101)
			}
			c.want.check(t, compare(t, a, c.b, Options{}), c.exact, c.exact, 0.3)
		})
	}
}

// The rates are planted by a label, which is exact.
func TestRates(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	m := master().cut(0, 40*22050)
	for _, c := range []struct {
		a, b  int
		cause Cause
	}{
		{22050, 22050, CauseNone},
		{22050, 22051, CauseClock}, // 45 ppm
		{22050, 22045, CauseClock}, // 227 ppm
		{22050, 22064, CauseUnknown},
		{24000, 22050, Cause48As441},
		{22050, 24000, Cause441As48},
		{24000, 25000, Cause24As25},
		{25000, 24000, Cause25As24},
		{24024, 24000, CausePullDown},
		{24000, 24024, CausePullUp},
		{24000, 25025, Cause23976As25},
		{25025, 24000, Cause25As23976},
	} {
		r := compare(t, labelled(m, c.a), labelled(m.cut(-1000, len(m.frames)), c.b), Options{})
		want := planted{ms: 1e6 / float64(c.b), ppm: ratePPM(float64(c.a) / float64(c.b))}
		want.check(t, r, 0.05, 0.2, 0.1)
		if r.Cause != c.cause {
			t.Errorf("%d as %d: cause %q, want %q", c.a, c.b, r.Cause, c.cause)
		}
	}
}

// A copy at 24 kHz made by a slow resampler, half a frame of the original late.
func TestOtherSampleRate(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	m := master().cut(0, 30*22050)
	b := resampled(m, -0.5, 22050./24000, 30*24000)
	b.rate = 24000
	planted{ms: 0.5 / 22.05}.check(t, compare(t, m, b, Options{}), 0.005, 0.1, 0.1)
}

// A strong equaliser: one-pole shelves of +12 dB below 300 Hz and -9 dB above.
func TestEqualiser(t *testing.T) {
	t.Parallel()
	m := master()
	k := 1 - math.Exp(-2*math.Pi*300/float64(m.rate))
	var low [2]float64
	b := m.mapped(func(_ int, v [2]float64) [2]float64 {
		for c := range v {
			low[c] += k * (v[c] - low[c])
			v[c] = 4*low[c] + 0.35*(v[c]-low[c])
		}
		return v
	})
	// The shelf itself delays some of the music, by less than its time constant.
	r := compare(t, m, b, Options{})
	planted{gain: r.GainDB}.check(t, r, 0.5, 0.2, 0)
}

func monoOf(m music) []float32 {
	out := make([]float32, len(m.frames))
	for i, v := range m.frames {
		out[i] = float32(v[0]+v[1]) / 2
	}
	return out
}

// A cut of 10 s in the middle leaves one line for each half.
func TestCutInTheMiddle(t *testing.T) {
	if testing.Short() {
		t.Skip("many comparisons of long pieces")
	}
	t.Parallel()
	m := master()
	b := m.cut(0, 50*m.rate)
	b.frames = append(b.frames, m.frames[60*m.rate:]...)
	r := compare(t, m, b, Options{})
	if r.Verdict != Partly || r.Same {
		t.Fatalf("verdict %q, want %q", r.Verdict, Partly)
	}
	if math.Abs(r.OffsetMs) > 1 || math.Abs(r.RatePPM) > 2 || math.Abs(r.FromMs) > 1500 || math.Abs(r.ToMs-50000) > 1500 {
		t.Errorf("offset %.2f ms, %.2f ppm, %.0f..%.0f ms; want 0, 0, 0..50000", r.OffsetMs, r.RatePPM, r.FromMs, r.ToMs)
	}
}

func TestProgressRises(t *testing.T) {
	t.Parallel()
	m := master()
	last, calls := -1.0, 0
	compare(t, m, m, Options{Progress: func(d float64) {
		if d < last || d > 1 {
			t.Errorf("progress went from %v to %v", last, d)
		}
		last = d
		calls++
	}})
	if last != 1 || calls < 10 {
		t.Errorf("progress ended at %v after %d calls, want 1 after 10 or more", last, calls)
	}
}
