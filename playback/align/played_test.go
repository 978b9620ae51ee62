package align

import (
	"math"
	"path/filepath"
	"testing"

	"drylane/playback/internal/truth"
	"drylane/testdata/reftest"
)

// Music that other people wrote and another program plays: what was planted in a
// copy of a piece is what is told, and no piece is another.
func TestPlayedMusic(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("compares whole pieces")
	}
	reftest.Tool(t, "fluidsynth")
	list, err := truth.Pieces()
	if err != nil {
		t.Skip(err)
	}
	dir := t.TempDir()
	var before music
	for i := 0; i < len(list); i += max(1, len(list)/4) {
		p, err := truth.Render(t.Context(), list[i], dir)
		if err != nil {
			t.Fatal(err)
		}
		a := decoded(t, p.WAV, 44100)
		a = a.cut(0, min(len(a.frames), 60*44100))
		if len(a.frames) < 40*44100 {
			continue
		}
		in, out := filepath.Join(dir, "in.wav"), filepath.Join(dir, "out.mp3")
		writeWAV(t, in, a.cut(-44100*7/10, len(a.frames)))
		run(t, "lame", "--quiet", "--resample", "44.1", "-b", "96", in, out)
		copied := decoded(t, out, 44100)
		if r := compare(t, a, copied, Options{}); !r.Same || math.Abs(r.OffsetMs-700) > 1 || math.Abs(r.RatePPM) > 2 || !r.Whole() {
			t.Errorf("%s as an MP3, 0.7 s later: %+v", p.Name, r)
		}
		reversed := copied.mapped(func(_ int, v [2]float64) [2]float64 { return [2]float64{-v[0], v[1]} })
		if r := compare(t, a, reversed, Options{}); r.Reversed != "left" || math.Abs(r.OffsetMs-700) > 1 {
			t.Errorf("%s, left reversed: %+v", p.Name, r)
		}
		for _, s := range []int{10, 15} {
			if r := compare(t, a, copied.cut(0, s*44100), Options{}); !r.Same || math.Abs(r.OffsetMs-700) > 1 || r.LacksEndMs == 0 || r.LacksStartMs != 0 {
				t.Errorf("%s, its first %d s: %+v", p.Name, s, r)
			}
		}
		if before.frames != nil {
			if r := compare(t, before, copied, Options{}); r.Verdict != Different {
				t.Errorf("%s against the piece before: %+v", p.Name, r)
			}
		}
		before = a
	}
}
