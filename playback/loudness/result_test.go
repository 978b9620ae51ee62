package loudness

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestClips(t *testing.T) {
	t.Parallel()
	const full = 32767.0 / 32768
	for _, c := range []struct {
		name    string
		left    []float64
		o       Options
		runs    int
		longest int64
		first   []Clip
	}{
		{"nothing", nil, Options{}, 0, 0, nil},
		{"two are no run", []float64{0, full, full, 0}, Options{}, 0, 0, nil},
		{"three are", []float64{0, full, full, full, 0}, Options{}, 1, 3, []Clip{{1, 3, 0}}},
		{"just below", []float64{0, 0.9999, 0.9999, 0.9999}, Options{}, 0, 0, nil},
		{"negative, to the end", []float64{0, -1, -1, -1, -1}, Options{}, 1, 4, []Clip{{1, 4, 0}}},
		{"over full scale", []float64{1.5, 1, 2, 0, -3, -1, -1}, Options{}, 2, 3, []Clip{{0, 3, 0}, {4, 3, 0}}},
		{"a change of sign ends a run", []float64{1, 1, -1, -1, 1}, Options{}, 0, 0, nil},
		{"and starts one", []float64{1, -1, -1, -1}, Options{}, 1, 3, []Clip{{1, 3, 0}}},
		{"own level", []float64{0.5, 0.6, 0.5, 0.4}, Options{ClipLevel: 0.5}, 1, 3, []Clip{{0, 3, 0}}},
		{"own run", []float64{0, 1, 0, 1, 1}, Options{ClipRun: 1}, 2, 2, []Clip{{1, 1, 0}, {3, 2, 0}}},
	} {
		frames := make([][2]float64, len(c.left))
		for i, v := range c.left {
			frames[i][0] = v
		}
		r := measured(t, 44100, 2, c.o, frames)
		ch := r.Channel[0]
		if ch.ClippedRuns != c.runs || ch.LongestClip != c.longest || len(r.FirstClips) != len(c.first) ||
			len(c.first) > 0 && !reflect.DeepEqual(r.FirstClips, c.first) {
			t.Errorf("%s: %d runs, longest %d, first %v; wanted %d, %d, %v", c.name,
				ch.ClippedRuns, ch.LongestClip, r.FirstClips, c.runs, c.longest, c.first)
		}
		if r.Channel[1].ClippedRuns != 0 {
			t.Errorf("%s: the silent channel has clipped runs", c.name)
		}
	}
}

// One sample at full scale may stand for any that was cut off there, if something
// was; a stream of floats holds its own.
func TestAtLeast(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		top    float64
		cutOff bool
		want   bool
	}{{32767.0 / 32768, true, true}, {-1, true, true}, {32766.0 / 32768, true, false}, {1.5, false, false}} {
		frames := make([][2]float64, 1000)
		frames[500][1] = c.top
		if got := measured(t, 44100, 2, Options{CutOff: c.cutOff}, frames).AtLeast; got != c.want {
			t.Errorf("a sample of %v, cut off %v: at least is %v", c.top, c.cutOff, got)
		}
	}
}

// Runs are followed across blocks, and the first places come from both
// channels in the order of the stream.
func TestClipPlaces(t *testing.T) {
	t.Parallel()
	frames := make([][2]float64, 5*blockFrames)
	for i := blockFrames - 5; i < 2*blockFrames+7; i++ {
		frames[i][1] = 1
	}
	for n := range 12 {
		for i := range 4 {
			frames[3*blockFrames+10*n+i][0] = -1
		}
	}
	r := measured(t, 44100, 2, Options{}, frames)
	if len(r.FirstClips) != MaxClips || r.FirstClips[0] != (Clip{blockFrames - 5, blockFrames + 12, 1}) || r.FirstClips[9] != (Clip{3*blockFrames + 80, 4, 0}) {
		t.Errorf("first clips are %v", r.FirstClips)
	}
	if r.Channel[0].ClippedRuns != 12 || r.Channel[1].ClippedRuns != 1 {
		t.Errorf("clipped runs are %d and %d, wanted 12 and 1", r.Channel[0].ClippedRuns, r.Channel[1].ClippedRuns)
	}
}

func TestDCBalanceAndPolarity(t *testing.T) {
	t.Parallel()
	tone := sines(48000, 1000, part{1, -12})
	for _, c := range []struct {
		name                    string
		left, right             func(v float64, i int) float64
		dcLeft, dcRight         float64
		balance, correlation    float64
		silentLeft, silentRight bool
	}{
		{"same", ident, ident, 0, 0, 0, 1, false, false},
		{"inverted", ident, scaled(-1), 0, 0, 0, -1, false, false},
		{"inverted and lower", ident, scaled(-0.1), 0, 0, 20, -1, false, false},
		{"inverted under DC", offset(0.25), func(v float64, _ int) float64 { return 0.5 - v }, 0.25, 0.5, 0, -1, false, false},
		{"right louder", scaled(0.5), ident, 0, 0, -6.0206, 1, false, false},
		{"right dead", ident, scaled(0), 0, 0, math.Inf(1), 0, false, true},
		{"left is DC alone", func(float64, int) float64 { return 0.002 }, ident, 0.002, 0, math.Inf(-1), 0, true, false},
		{"both dead", scaled(0), scaled(0), 0, 0, 0, 0, true, true},
		// A quarter of a period apart, a sine and itself are unrelated.
		{"a quarter apart", ident, func(_ float64, i int) float64 { return tone[(i+12)%48000][0] }, 0, 0, 0, 0, false, false},
	} {
		frames := make([][2]float64, len(tone))
		for i, f := range tone {
			frames[i] = [2]float64{c.left(f[0], i), c.right(f[0], i)}
		}
		r := measured(t, 48000, 2, Options{}, frames)
		near(t, c.name+": DC left", r.Channel[0].DC, c.dcLeft, 1e-9)
		near(t, c.name+": DC right", r.Channel[1].DC, c.dcRight, 1e-9)
		if float64(r.Balance) != c.balance {
			near(t, c.name+": balance", r.Balance, c.balance, 1e-3)
		}
		near(t, c.name+": correlation", r.Correlation, c.correlation, 1e-9)
		if r.Channel[0].Silent != c.silentLeft || r.Channel[1].Silent != c.silentRight {
			t.Errorf("%s: silent is %v and %v, wanted %v and %v", c.name, r.Channel[0].Silent, r.Channel[1].Silent, c.silentLeft, c.silentRight)
		}
	}
}

func ident(v float64, _ int) float64 { return v }

func scaled(by float64) func(float64, int) float64 {
	return func(v float64, _ int) float64 { return v * by }
}

func offset(by float64) func(float64, int) float64 {
	return func(v float64, _ int) float64 { return v + by }
}

func TestEmptyAndShort(t *testing.T) {
	t.Parallel()
	r := measured(t, 44100, 2, Options{}, nil)
	if r.Integrated != Silence || r.TruePeak != Silence || r.Range != 0 || r.Channel[0].DC != 0 || !r.Channel[0].Silent {
		t.Errorf("an empty stream gives %+v", r)
	}
	// 100 ms count for a quarter of 400 ms: 6.02 dB less.
	r = measured(t, 48000, 2, Options{}, sines(48000, 997, part{0.1, -20}))
	near(t, "max M of 100 ms", r.MomentaryMax, -20-6.02, 0.05)
	if r.Integrated != Silence {
		t.Errorf("100 ms integrate to %v, wanted silence", r.Integrated)
	}
}

// Broken samples count as silence and spoil nothing after them.
func TestBrokenSamples(t *testing.T) {
	t.Parallel()
	clean := sines(48000, 1000, part{5, -23})
	bad := append([][2]float64(nil), clean...)
	for i, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e7} {
		clean[1000*i+7][i%2] = 0
		bad[1000*i+7][i%2] = v
	}
	want, got := measured(t, 48000, 2, Options{}, clean), measured(t, 48000, 2, Options{}, bad)
	if got.Broken != 5 {
		t.Errorf("%d frames count as broken, wanted 5", got.Broken)
	}
	got.Broken = 0
	if !reflect.DeepEqual(got, want) {
		t.Errorf("with broken samples:\n%+v\nwith silence for them:\n%+v", got, want)
	}
}

func TestNewRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rate, channels int
		o              Options
		want           string
	}{
		{0, 2, Options{}, "0 Hz"},
		{7999, 2, Options{}, "wanted 8000 to 384000"},
		{1 << 40, 2, Options{}, "wanted 8000 to 384000"},
		{44100, 0, Options{}, "0 channels"},
		{44100, 6, Options{}, "wanted 1 or 2"},
		{44100, 2, Options{ClipRun: -1}, "clip run of -1"},
		{44100, 2, Options{ClipLevel: math.NaN()}, "clip level of NaN"},
	} {
		if _, err := New(c.rate, c.channels, c.o); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("New(%d, %d, %+v) gives %v, wanted it to say %q", c.rate, c.channels, c.o, err, c.want)
		}
	}
}

func TestResultAsJSON(t *testing.T) {
	t.Parallel()
	for _, frames := range [][][2]float64{nil, passage, sines(48000, 50, part{1, 6})} {
		want := measured(t, 48000, 2, Options{}, frames)
		b, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var got Result
		if err := json.Unmarshal(b, &got); err != nil {
			t.Fatalf("%s: %v", b, err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s reads back as\n%+v, was\n%+v", b, got, want)
		}
	}
	empty, _ := json.Marshal(measured(t, 48000, 2, Options{}, nil))
	if !strings.Contains(string(empty), `"integrated_lufs":"-inf"`) {
		t.Errorf("silence is written as %s", empty)
	}
}

func TestLevelString(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		l    Level
		want string
	}{{-23.04, "-23.0"}, {-0.04, "0.0"}, {-0.06, "-0.1"}, {3, "3.0"}, {Silence, "-inf"}, {-Silence, "+inf"}} {
		if got := c.l.String(); got != c.want {
			t.Errorf("%v is written %q, wanted %q", float64(c.l), got, c.want)
		}
	}
}

func FuzzLevelJSON(f *testing.F) {
	for _, s := range []string{`-23.5`, `"-inf"`, `"+inf"`, `null`, `"inf"`, `1e999`, `{}`, `NaN`, `0x1p-2`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		var l Level
		if json.Unmarshal([]byte(s), &l) != nil {
			return
		}
		b, err := json.Marshal(l)
		if err != nil {
			t.Fatalf("%q was read as %v and cannot be written: %v", s, float64(l), err)
		}
		var again Level
		if err := json.Unmarshal(b, &again); err != nil || again != l {
			t.Fatalf("%q was read as %v, written %s, read back as %v (%v)", s, float64(l), b, float64(again), err)
		}
	})
}
