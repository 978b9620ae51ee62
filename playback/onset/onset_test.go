package onset

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/internal/demo/score"
	"drylane/playback/internal/truth"
	"drylane/playback/synth"
	"drylane/playback/wavtest"
	"drylane/show/timebase"
	"drylane/testdata"

	"pgregory.net/rapid"
)

// detect runs a detector over frames, in chunks of a size.
func detect(rate int, frames [][2]float64, chunk int) *Music {
	d := NewDetector(rate)
	defer d.Close()
	for len(frames) > 0 {
		n := min(chunk, len(frames))
		d.Add(frames[:n])
		frames = frames[n:]
	}
	return d.Music()
}

func (m *Music) times() []time.Duration {
	var out []time.Duration
	for _, a := range m.Accents {
		out = append(out, a.At.At(m.Rate))
	}
	return out
}

// clicks renders clicks at the times given, in seconds.
func clicks(rate int, length float64, at ...float64) [][2]float64 {
	var v playback.Voices
	for i, t := range at {
		v.Add(playback.Voice{ID: i, Start: timebase.Frame(t * float64(rate)), Sound: synth.Click(rate)})
	}
	out := make([][2]float64, int(length*float64(rate)))
	v.MixInto(out, 0, [2]float64{0.5, 0.5})
	return out
}

// Times from the description of the method: clicks come out within 10 ms, at
// every sample rate.
func TestClicks(t *testing.T) {
	t.Parallel()
	at := []float64{0.5, 1.25, 2, 3.1, 4, 4.5}
	for _, rate := range []int{8000, 11025, 22050, 32000, 44100, 48000, 96000, 192000} {
		m := detect(rate, clicks(rate, 5, at...), 4096)
		got := m.times()
		if len(got) != len(at) {
			t.Errorf("%d Hz: got %v, want %v", rate, got, at)
			continue
		}
		for i, g := range got {
			if d := g.Seconds() - at[i]; math.Abs(d) > 0.010 {
				t.Errorf("%d Hz: the click at %v was found %.1f ms off", rate, at[i], d*1e3)
			}
		}
	}
}

func demoMusic(t testing.TB) *Music {
	t.Helper()
	m, err := Analyse(t.Context(), "soundtrack.mp3", func() (io.ReadSeekCloser, error) {
		f, err := testdata.Demo().Open("soundtrack.mp3")
		if err != nil {
			return nil, err
		}
		return f.(io.ReadSeekCloser), nil
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The demo's accents are known to the frame: the score that it was rendered
// from is the reference.
func TestDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	m := demoMusic(t)
	s := score.Compose()
	var notes []truth.Note
	for _, f := range s.Onsets() {
		notes = append(notes, truth.Note{At: f.At(score.Rate)})
	}
	if got := truth.Match(truth.Onsets(notes), m.times(), truth.Window); got.F() < 0.95 {
		t.Errorf("F %.3f (precision %.3f, recall %.3f); want 0.95", got.F(), got.Precision(), got.Recall())
	}
	notes = nil
	for _, a := range s.Accents {
		notes = append(notes, truth.Note{At: a.At.At(score.Rate)})
	}
	if got := truth.Match(truth.Onsets(notes), m.times(), 20*time.Millisecond); got.Recall() < 0.98 {
		t.Errorf("%d of %d accents found within 20 ms", got.Hits, got.True)
	}
	if math.Abs(m.Tempo-150) > 1.5 {
		t.Errorf("tempo %.1f; the piece goes at 150 beats a minute", m.Tempo)
	}
	// From the first bar at 10 s to the slow section at 74 s a beat is 0.4 s.
	for _, b := range m.Beats {
		at := b.At(m.Rate).Seconds()
		if at < 12 || at > 72 {
			continue
		}
		if off := math.Remainder(at-10, 0.2); math.Abs(off) > 0.04 {
			t.Errorf("the beat at %.3f s is %.0f ms off the grid", at, off*1e3)
		}
	}
}

func TestTempo(t *testing.T) {
	t.Parallel()
	for _, bpm := range []float64{72, 90, 120, 150, 174} {
		var at []float64
		for s := 0.5; s < 30; s += 60 / bpm {
			at = append(at, s)
		}
		m := detect(44100, clicks(44100, 31, at...), 4096)
		if math.Abs(m.Tempo-bpm) > 0.015*bpm {
			t.Errorf("found %.1f beats a minute; wanted %.0f", m.Tempo, bpm)
		}
		if len(m.Beats) < len(at)-1 || len(m.Beats) > len(at)+1 {
			t.Errorf("%.0f: found %d beats of %d", bpm, len(m.Beats), len(at))
		}
	}
}

// TestLevel: how loud the file is makes no difference.
func TestLevel(t *testing.T) {
	t.Parallel()
	at := []float64{0.5, 1, 1.5, 2, 2.5, 3, 3.25, 3.5}
	for _, gain := range []float64{0.01, 0.1, 1.9} {
		frames := clicks(44100, 4, at...)
		for i := range frames {
			frames[i][0] *= gain
			frames[i][1] *= gain
		}
		if m := detect(44100, frames, 1000); len(m.Accents) != len(at) {
			t.Errorf("gain %v: found %d of %d", gain, len(m.Accents), len(at))
		}
	}
}

// TestSofter: at 1/32 of the level, 30 dB less, which is exact in binary, the answer
// is the same to the last bit, over several blocks; and a soft part behind a loud
// one, farther than what is loudest around it reaches, has its onsets.
func TestSofter(t *testing.T) {
	t.Parallel()
	const rate, seconds = 22050, 70
	r := rand.New(rand.NewPCG(5, 6))
	frames := make([][2]float64, seconds*rate)
	for i := range frames {
		at := float64(i%(rate/2)) / rate
		gain := math.Exp(-at / 0.05)
		if i > len(frames)/3 {
			gain *= 0.01
		}
		v := gain * (0.5*math.Sin(2*math.Pi*440*at) + 0.3*(2*r.Float64()-1))
		frames[i] = [2]float64{v, v}
	}
	loud := detect(rate, frames, 4096)
	if n := len(loud.Accents); n != 2*seconds {
		t.Errorf("found %d of %d", n, 2*seconds)
	}
	soft := slices.Clone(frames[:len(frames)/3])
	want := detect(rate, soft, 4096)
	for i := range soft {
		soft[i][0], soft[i][1] = soft[i][0]/32, soft[i][1]/32
	}
	if got := detect(rate, soft, 4096); !slices.Equal(got.Accents, want.Accents) || !slices.Equal(got.Beats, want.Beats) {
		t.Errorf("at 1/32: %d accents and %d beats; at full level %d and %d", len(got.Accents), len(got.Beats), len(want.Accents), len(want.Beats))
	}
}

// TestChunks: how the frames come in makes no difference.
func TestChunks(t *testing.T) {
	t.Parallel()
	frames := clicks(44100, 6, 0, 0.7, 5.2, 5.3, 5.9)
	want := detect(44100, frames, len(frames))
	rapid.Check(t, func(t *rapid.T) {
		got := detect(44100, frames, rapid.IntRange(100, 300_000).Draw(t, "chunk"))
		if len(got.Accents) != len(want.Accents) {
			t.Fatalf("got %d accents, want %d", len(got.Accents), len(want.Accents))
		}
		for i, a := range got.Accents {
			if a != want.Accents[i] {
				t.Fatalf("accent %d: got %v, want %v", i, a, want.Accents[i])
			}
		}
	})
}

func TestNothingThere(t *testing.T) {
	t.Parallel()
	broken := make([][2]float64, 44100)
	for i := range broken {
		broken[i] = [2]float64{math.NaN(), math.Inf(1)}
	}
	for name, frames := range map[string][][2]float64{
		"no frames": nil, "one frame": {{1, 1}}, "silence": make([][2]float64, 441000), "no numbers": broken,
	} {
		m := detect(44100, frames, 4096)
		if len(m.Accents) > 1 || len(m.Beats) != 0 || m.Tempo != 0 {
			t.Errorf("%s: found %d accents, %d beats, tempo %v", name, len(m.Accents), len(m.Beats), m.Tempo)
		}
	}
}

func TestCancel(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "x.wav")
	wavtest.Write(t, path, 44100, 1, clicks(44100, 20, 1, 2, 3))
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	_, err := Analyse(ctx, path, func() (io.ReadSeekCloser, error) { return os.Open(path) }, func(done, total timebase.Frame) { cancel() })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if _, err := Analyse(t.Context(), "none", func() (io.ReadSeekCloser, error) { return os.Open(path + "x") }, nil); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("got %v", err)
	}
}

func TestStore(t *testing.T) {
	t.Parallel()
	m := detect(44100, clicks(44100, 12, 1, 1.5, 2, 2.5, 3, 3.5, 4), 4096)
	var b bytes.Buffer
	if err := m.Write(&b); err != nil {
		t.Fatal(err)
	}
	got, err := Read(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Accents) != 7 || len(got.Beats) != len(m.Beats) || got.Rate != m.Rate || got.Length != m.Length {
		t.Errorf("got %+v, want %+v", got, m)
	}
	for i, a := range got.Accents {
		if a.At != m.Accents[i].At || math.Abs(a.Strength-m.Accents[i].Strength) > 1e-4 {
			t.Errorf("accent %d: got %v, want %v", i, a, m.Accents[i])
		}
	}
	if _, err := Read(bytes.NewReader(bytes.Replace(b.Bytes(), []byte(`"version":4`), []byte(`"version":0`), 1))); err == nil {
		t.Error("another version was read")
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"version":4,"rate":44100,"length":10,"tempo":120,"at":[1,2],"strength":[0.5,1],"rise":[1,1],"loud":[0,1],"gain":[0.5,0],"turn":[1,0],"bass":[0,1],"beats":[3]}`))
	f.Add([]byte(`{"version":4,"rate":1,"length":5,"at":[9],"strength":[1],"rise":[1],"loud":[1],"gain":[1],"turn":[1],"bass":[1]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := Read(bytes.NewReader(b))
		if err != nil {
			return
		}
		last := timebase.Frame(0)
		for _, a := range m.Accents {
			if a.At < last || a.At >= m.Length || !(a.Strength >= 0) {
				t.Errorf("accent %v", a)
			}
			last = a.At
		}
	})
}

// TestEcho: what is repeated softly at once is an echo, but what is repeated as
// loudly is played again.
func TestEcho(t *testing.T) {
	t.Parallel()
	const rate = 44100
	for _, c := range []struct {
		repeat float64
		want   int
	}{{0.3, 8}, {1, 16}} {
		frames := make([][2]float64, 9*rate)
		play := func(at, gain float64) {
			from := int(at * rate)
			for i := range rate / 4 {
				s := float64(i) / rate
				v := gain * math.Exp(-s/0.03) * (math.Sin(2*math.Pi*440*s) + math.Sin(2*math.Pi*990*s))
				frames[from+i][0] += v
				frames[from+i][1] += v
			}
		}
		for k := range 8 {
			play(float64(k)+0.5, 0.5)
			play(float64(k)+0.58, 0.5*c.repeat)
		}
		if m := detect(rate, frames, 4096); len(m.Accents) != c.want {
			t.Errorf("repeated at %v of the level: found %d, want %d", c.repeat, len(m.Accents), c.want)
		}
	}
}
