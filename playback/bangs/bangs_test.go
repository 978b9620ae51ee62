package bangs

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// A tape is sound in memory.
type tape struct{ rest []float32 }

func (t *tape) Read(_ context.Context, dst []float32) (int, error) {
	n := copy(dst, t.rest)
	t.rest = t.rest[n:]
	return n, nil
}

// drums is music of 30 s: a drum every half second and a chord under it.
func drums() []float32 {
	out := make([]float32, 30*Hz)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range out {
		beat := math.Mod(float64(i)/Hz, 0.5)
		out[i] = float32(0.3*math.Exp(-beat/0.04)*(2*r.Float64()-1) + 0.03*math.Sin(2*math.Pi*220*float64(i)/Hz) + 0.02*math.Sin(2*math.Pi*1320*float64(i)/Hz))
	}
	return out
}

// outside is music as it comes with walls behind it, over noise.
func outside(music []float32, r *rand.Rand) []float32 {
	out := make([]float32, len(music))
	for i := range out {
		out[i] = 0.004 * float32(r.NormFloat64())
	}
	for _, wall := range []struct {
		after float64
		gain  float32
	}{{0, 0.5}, {0.013, -0.2}, {0.19, 0.15}, {0.43, 0.08}} {
		at := int(wall.after * Hz)
		for i := at; i < len(out); i++ {
			out[i] += wall.gain * music[i-at]
		}
	}
	return out
}

// bangAt adds a bang: an N-wave of 2 ms, and noise that dies away behind it.
func bangAt(dst []float32, at, loud float64, r *rand.Rand) {
	first := int(at * Hz)
	low := 0.0
	for i := first; i < min(len(dst), first+Hz/3); i++ {
		t := float64(i-first) / Hz
		low += 0.2 * (2*r.Float64() - 1 - low)
		v := 0.8 * low * math.Exp(-t/0.06)
		if t < 0.002 {
			v += 1 - t/0.001
		}
		dst[i] += float32(loud * v)
	}
}

func find(t *testing.T, recording, music []float32) []Bang {
	t.Helper()
	got, err := Find(t.Context(), &tape{recording}, &tape{music})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// TestFind: of bangs among drums that are as loud the bangs are found, on drums and beside
// them, and no drum.
func TestFind(t *testing.T) {
	music := drums()
	r := rand.New(rand.NewPCG(5, 6))
	recording := outside(music, r)
	want := []float64{4.25, 9.61, 9.73, 15.02, 22.38, 27.11}
	for _, at := range want {
		bangAt(recording, at, 1, r)
	}
	got := find(t, recording, music)
	for _, at := range want {
		best := Bang{At: math.Inf(1)}
		for _, b := range got {
			if math.Abs(b.At-at) < math.Abs(best.At-at) {
				best = b
			}
		}
		if off := best.At - at; math.Abs(off) > 0.006 || best.Rise < 0.8 {
			t.Errorf("the bang at %.2f s is found %.1f ms beside it, with a rise of %.2f", at, 1000*off, best.Rise)
		}
	}
	others := 0
	for _, b := range got {
		near := false
		for _, at := range want {
			near = near || b.At > at-0.05 && b.At < at+0.3
		}
		if !near && b.Rise > 0.8 {
			others++
		}
	}
	if others > 0 {
		t.Errorf("%d bangs stand out that nobody made: %v", others, got)
	}
}

// TestMusicAlone: with the music known nothing is left of its drums; without, all of it is.
func TestMusicAlone(t *testing.T) {
	music := drums()
	r := rand.New(rand.NewPCG(7, 8))
	recording := outside(music, r)
	known, unknown := find(t, recording, music), find(t, recording, nil)
	if len(known) > 15 {
		t.Errorf("%d bangs in music that is known, of 60 drums with three walls each", len(known))
	}
	if len(unknown) < 40 {
		t.Errorf("%d of 60 drums are found where the music is not known", len(unknown))
	}
}

// TestNothing: silence, and less than a window, have no bangs.
func TestNothing(t *testing.T) {
	for _, n := range []int{0, 1, window - 1, window, 5 * Hz} {
		if got := find(t, make([]float32, n), nil); len(got) > 0 {
			t.Errorf("%d samples of silence: %v", n, got)
		}
	}
}

// TestInBlocks: what is found does not depend on how much a source hands out at once.
func TestInBlocks(t *testing.T) {
	music := drums()
	r := rand.New(rand.NewPCG(9, 1))
	recording := outside(music, r)
	bangAt(recording, 7.95, 1, r) // about where two blocks meet
	whole := find(t, recording, music)
	got, err := Find(t.Context(), &dripping{tape{recording}}, &dripping{tape{music}})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(whole) || len(got) == 0 {
		t.Fatalf("%d bangs, want the %d of the whole", len(got), len(whole))
	}
	for i := range got {
		if got[i] != whole[i] {
			t.Errorf("%+v, want %+v", got[i], whole[i])
		}
	}
}

// dripping hands out some samples at a time.
type dripping struct{ tape }

func (d *dripping) Read(ctx context.Context, dst []float32) (int, error) {
	return d.tape.Read(ctx, dst[:min(len(dst), 777)])
}
