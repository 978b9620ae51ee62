package locate

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"drylane/playback/internal/outdoors"
	"drylane/testdata"
)

var demo struct {
	sync.Once
	x     []float64
	rate  int
	music *Music
}

// demoMusic is the demo's soundtrack. Nobody writes to it.
func demoMusic(tb testing.TB) ([]float64, int, *Music) {
	tb.Helper()
	demo.Do(func() {
		demo.x, demo.rate = outdoors.ReadIn(tb, testdata.Demo(), "soundtrack.mp3")
		demo.music = musicOf(tb, demo.x, demo.rate)
	})
	return demo.x, demo.rate, demo.music
}

func musicOf(tb testing.TB, x []float64, rate int) *Music {
	tb.Helper()
	b, err := NewBuilder(rate)
	if err != nil {
		tb.Fatal(err)
	}
	if err := b.Write(outdoors.Stereo(x)); err != nil {
		tb.Fatal(err)
	}
	return b.Music()
}

func narrowed(tb testing.TB, x []float64, rate int) []float32 {
	tb.Helper()
	n, err := NewNarrow(rate)
	if err != nil {
		tb.Fatal(err)
	}
	return n.Flush(n.Write(nil, outdoors.Stereo(x)))
}

// blocksOf looks the blocks of heard up, one after the other.
func blocksOf(f *Finder, heard []float32) (all []Sighting) {
	for at := 0; at+BlockLength <= len(heard); at += BlockLength {
		all = append(all, Sighting{float64(at) / Rate, slices.Clone(f.Find(heard[at:at+BlockLength], All))})
	}
	return all
}

// TestFindsThroughARoom: music that was taken down in a room, by a telephone and through
// noise as loud as itself, lies where it was, to a millisecond, and its clock is known.
func TestFindsThroughARoom(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	x, rate, m := demoMusic(t)
	f := NewFinder(m)
	for _, c := range []struct {
		name  string
		scene outdoors.Scene
		from  float64 // seconds
	}{
		{"clean", outdoors.Scene{}, 20},
		{"noise", outdoors.Scene{Seed: 1, Room: true, Phone: true, Noise: true, PPM: 60}, 40},
		{"bangs", outdoors.Scene{Seed: 2, Room: true, Phone: true, Noise: true, SNR: 6, Bangs: 0.5, PPM: -60}, 70},
	} {
		part := x[int(c.from*float64(rate)):][:18*rate]
		line, ok := FitLine(blocksOf(f, narrowed(t, c.scene.Take(part, rate), rate)))
		if !ok || line.Confidence < 0.95 || line.On < 3 || math.Abs(line.At(0)-c.from) > 0.001 {
			t.Errorf("%s: %+v, want %g s", c.name, line, c.from)
		}
		if ppm := 1e6 * (line.Rate - 1); math.Abs(ppm+c.scene.PPM) > 15 {
			t.Errorf("%s: the clock is %.1f ppm off, want %g", c.name, ppm, -c.scene.PPM)
		}
	}
}

// TestFindsTheEnds: a block that begins before the music, and one that goes on behind it.
func TestFindsTheEnds(t *testing.T) {
	t.Parallel()
	rnd := rand.New(rand.NewPCG(5, 5))
	x := make([]float64, 20*Rate)
	for i := range x {
		x[i] = 0.1 * rnd.NormFloat64()
	}
	f := NewFinder(musicOf(t, x, Rate))
	for _, from := range []int{-2 * Rate, -1, 0, 100, BlockLength - 1, BlockLength, 18*Rate + 1, 19 * Rate} {
		block := make([]float32, BlockLength)
		for i := range block {
			if j := from + i; j >= 0 && j < len(x) {
				block[i] = float32(x[j])
			}
		}
		got := f.Find(block, All)
		if want := float64(from) / Rate; len(got) == 0 || math.Abs(got[0].At-want) > 0.0002 {
			t.Errorf("from sample %d: %v, want %.4f", from, got, want)
		}
		if got := f.Find(block, Span{float64(from)/Rate + 0.5, 30}); len(got) > 0 && got[0].Score > 8 {
			t.Errorf("from sample %d, not looked for there: %v", from, got)
		}
	}
}

// TestFindsNothing: silence has no place, and noise none that stands out.
func TestFindsNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	_, _, m := demoMusic(t)
	f := NewFinder(m)
	if got := f.Find(make([]float32, BlockLength), All); len(got) != 0 {
		t.Errorf("silence: %v", got)
	}
	if got := f.Find(nil, All); len(got) != 0 {
		t.Errorf("no sound: %v", got)
	}
	rnd := rand.New(rand.NewPCG(6, 6))
	block := make([]float32, 5*BlockLength)
	for i := range block {
		block[i] = float32(rnd.NormFloat64())
	}
	if line, _ := FitLine(blocksOf(f, block)); line.Confidence > 0.01 {
		t.Errorf("noise: %+v", line)
	}
	if got := NewFinder(musicOf(t, make([]float64, 20*Rate), Rate)).Find(block, All); len(got) != 0 {
		t.Errorf("in silence: %v", got)
	}
}

// TestRepeats: music that comes twice has the other time as a rival.
func TestRepeats(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	x, rate, _ := demoMusic(t)
	part := x[20*rate:][:25*rate]
	twice := append(append(slices.Clone(part), x[60*rate:][:10*rate]...), part...)
	f := NewFinder(musicOf(t, twice, rate))
	heard := outdoors.Scene{Seed: 3, Room: true, Noise: true, SNR: 6}.Take(part[2*rate:][:15*rate], rate)
	line, _ := FitLine(blocksOf(f, narrowed(t, heard, rate)))
	if line.Confidence < 0.95 || len(line.Rivals) == 0 || math.Abs(math.Abs(line.Rivals[0].Later)-35) > 0.01 || line.Rivals[0].Score < 0.9*line.Score {
		t.Errorf("%+v; want a rival 35 s away", line)
	}
}

// TestFitLine: sightings by hand, of which one has gone astray.
func TestFitLine(t *testing.T) {
	t.Parallel()
	var all []Sighting
	for k := range 8 {
		heard := 5 * float64(k)
		p := Place{At: 100 + heard*(1-40e-6), Score: 12}
		if k == 3 {
			p.At += 7.3
		}
		all = append(all, Sighting{heard, []Place{{At: 3 * heard, Score: 14}, p}})
	}
	line, ok := FitLine(all)
	if !ok || line.On != 7 || line.Of != 8 || math.Abs(line.Offset-100) > 1e-9 || math.Abs(line.Rate-1+40e-6) > 1e-12 {
		t.Errorf("%+v", line)
	}
	if line, ok := FitLine([]Sighting{{0, nil}, {5, nil}}); ok {
		t.Errorf("of nothing: %+v", line)
	}
	if line, _ := FitLine(all[:1]); line.Confidence != 0 {
		t.Errorf("of one block: %+v", line)
	}
}
