package pieces

import (
	"math"
	"math/rand/v2"
	"testing"

	"drylane/playback/internal/outdoors"
	"drylane/playback/locate"
)

// tune is music that does not repeat itself: chance chords of chance lengths.
func tune(seed uint64, seconds int) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	out := make([]float64, seconds*locate.Rate)
	for from := 0; from < len(out); {
		n := int((0.1 + 0.3*r.Float64()) * locate.Rate)
		for range 3 {
			hz, phase := 150*math.Pow(2, 4*r.Float64()), 2*math.Pi*r.Float64()
			for i := from; i < min(len(out), from+n); i++ {
				t := float64(i-from) / locate.Rate
				for h := 1.0; h <= 4 && h*hz < 3500; h++ {
					out[i] += math.Sin(2*math.Pi*hz*h*t+phase*h) / h * math.Exp(-6*t)
				}
			}
		}
		from += n
	}
	return out
}

func musicOf(t *testing.T, x []float64) *locate.Music {
	t.Helper()
	b, err := locate.NewBuilder(locate.Rate)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Write(outdoors.Stereo(x)); err != nil {
		t.Fatal(err)
	}
	return b.Music()
}

func soundOf(t *testing.T, x []float64) *Sound {
	t.Helper()
	s, err := NewSound(locate.Rate)
	if err != nil {
		t.Fatal(err)
	}
	s.Write(outdoors.Stereo(x))
	s.Close()
	return s
}

// A stop is a hold, in seconds.
type stop struct{ at, length float64 }

// played is music with holds, after some silence, as a microphone takes it down.
func played(music []float64, lead float64, stops []stop, scene outdoors.Scene) []float64 {
	out := make([]float64, int(lead*locate.Rate))
	from := 0
	for _, s := range stops {
		to := int(s.at * locate.Rate)
		out = append(out, music[from:to]...)
		out = append(out, make([]float64, int(s.length*locate.Rate))...)
		from = to
	}
	out = append(out, music[from:]...)
	return scene.Take(append(out, make([]float64, 4*locate.Rate)...), locate.Rate)
}

// TestFind: where a recording lies, its clock, and each hold with its length.
func TestFind(t *testing.T) {
	music := tune(1, 100)
	m := musicOf(t, music)
	for _, c := range []struct {
		name  string
		lead  float64
		stops []stop
		scene outdoors.Scene
	}{
		{"one piece", 7, nil, outdoors.Scene{Seed: 1, Room: true, Noise: true, SNR: 6, PPM: 40}},
		{"held three times", 3, []stop{{21.3, 6.25}, {48.1, 31}, {80.02, 3.5}}, outdoors.Scene{Seed: 2, Room: true, Noise: true, SNR: 6, PPM: -60}},
		{"with bangs", 12, []stop{{55, 9.5}}, outdoors.Scene{Seed: 3, Room: true, Noise: true, SNR: 10, PPM: 60, Bangs: 0.5}},
	} {
		sound := soundOf(t, played(music, c.lead, c.stops, c.scene))
		lie, err := Find(t.Context(), m, sound, nil)
		if err != nil {
			t.Fatal(err)
		}
		rate := 1 + c.scene.PPM*1e-6
		if len(lie.Pieces) != len(c.stops)+1 || math.Abs(lie.Offset-c.lead*rate) > 0.001 || math.Abs(lie.PPM-c.scene.PPM) > 4 {
			t.Errorf("%s: %+v", c.name, lie)
			continue
		}
		for i, s := range c.stops {
			a, b := lie.Pieces[i], lie.Pieces[i+1]
			held := (b.At - a.Heard(b.From)) / rate
			if math.Abs(b.From-s.at) > 0.5 || math.Abs(held-s.length) > 0.003 {
				t.Errorf("%s: held at %.2f s for %.3f s, want %.2f and %.3f", c.name, b.From, held, s.at, s.length)
			}
		}
		if like := lie.Likeness(m, sound); like > 0.8 {
			t.Errorf("%s: a likeness of %.2f through a room", c.name, like)
		}
	}
}

// TestLikeness: a copy of the file is as good as alike.
func TestLikeness(t *testing.T) {
	music := tune(4, 40)
	m, sound := musicOf(t, music), soundOf(t, music)
	lie, err := Find(t.Context(), m, sound, nil)
	if err != nil || len(lie.Pieces) != 1 {
		t.Fatalf("%+v, %v", lie, err)
	}
	if like := lie.Likeness(m, sound); like < 0.95 {
		t.Errorf("a likeness of %.2f of the same file", like)
	}
}

// TestFindNothing: other music, silence and next to nothing have no place.
func TestFindNothing(t *testing.T) {
	m := musicOf(t, tune(1, 60))
	for name, x := range map[string][]float64{"other music": tune(2, 60), "silence": make([]float64, 20*locate.Rate), "a second": tune(1, 1), "nothing": nil} {
		lie, err := Find(t.Context(), m, soundOf(t, x), nil)
		if err != nil || len(lie.Pieces) > 0 || lie.Confidence >= firmly {
			t.Errorf("%s: %+v, %v", name, lie, err)
		}
	}
}

// TestPlayed: the music is silent while it is held, and after it.
func TestPlayed(t *testing.T) {
	music := tune(5, 20)
	m, sound := musicOf(t, music), soundOf(t, make([]float64, 40*locate.Rate))
	lie := Lie{Pieces: []Piece{{From: 0, To: 8, At: 2, Rate: 1}, {From: 8, To: 20, At: 15, Rate: 1}}}
	got := make([]float32, 40*locate.Rate)
	if n, err := lie.Played(m, sound).Read(t.Context(), got); n != len(got) || err != nil {
		t.Fatal(n, err)
	}
	for _, c := range []struct{ at, of float64 }{{1, -1}, {3, 1}, {9.9, 7.9}, {12, -1}, {16, 9}, {26, 19}, {30, -1}} {
		i := int(c.at * locate.Rate)
		for k := range 100 {
			want := float32(0)
			if c.of >= 0 {
				want = float32(music[int(c.of*locate.Rate)+k])
			}
			if math.Abs(float64(got[i+k]-want)) > 1e-3 {
				t.Fatalf("at %.1f s the music is %.4f, want %.4f", c.at, got[i+k], want)
			}
		}
	}
}
