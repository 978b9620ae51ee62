package onset

import (
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/internal/truth"
	"drylane/testdata/reftest"
)

// On music rendered from MIDI files the onsets are found no worse than by the
// best of aubio's methods on that very piece, however loud it is. Command evaluate
// does the same for many pieces and prints the table.
func TestAgainstAubio(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	reftest.Tool(t, "fluidsynth")
	reftest.Tool(t, "aubioonset")
	list, err := truth.Pieces()
	if err != nil {
		reftest.Missing(t, err.Error())
	}
	// The least F of each; an instrument of the first plays echoes of its own.
	least := map[string]float64{"chemistry_lab.mid": 0.8, "coconut_run2.mid": 0.9}
	for _, path := range list {
		wanted, ok := least[filepath.Base(path)]
		if !ok {
			continue
		}
		p, err := truth.Render(t.Context(), path, t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		m, err := Analyse(t.Context(), p.WAV, func() (io.ReadSeekCloser, error) { return os.Open(p.WAV) }, nil)
		if err != nil {
			t.Fatal(err)
		}
		method, best, err := truth.BestAubio(t.Context(), p)
		if err != nil {
			t.Fatal(err)
		}
		ours := truth.Match(p.Onsets, m.times(), truth.Window)
		t.Logf("%s: F %.3f, aubio's %s %.3f", p.Name, ours.F(), method, best.F())
		if ours.F() < best.F() || ours.F() < wanted {
			t.Errorf("%s: F %.3f; aubio's %s has %.3f", p.Name, ours.F(), method, best.F())
		}
		for _, dB := range []float64{-10, -20, -30} {
			softer := truth.Match(p.Onsets, detect(44100, softer(t, p.WAV, dB), 4096).times(), truth.Window)
			if math.Abs(softer.F()-ours.F()) > 0.005 {
				t.Errorf("%s at %v dB: F %.4f; at full level %.4f", p.Name, dB, softer.F(), ours.F())
			}
		}
	}
}

// softer returns a file of 16 bits as one that was made softer.
func softer(t *testing.T, path string, dB float64) [][2]float64 {
	t.Helper()
	s, err := playback.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	frames := make([][2]float64, s.Len())
	for at := 0; at < len(frames); {
		n, ok := s.Stream(frames[at:])
		if at += n; !ok {
			t.Fatalf("%s: read %d of %d frames: %v", path, at, len(frames), s.Err())
		}
	}
	gain := math.Pow(10, dB/20)
	for i := range frames {
		for c, v := range frames[i] {
			frames[i][c] = math.Round(v*gain*(1<<15)) / (1 << 15)
		}
	}
	return frames
}

// aubioonset finds 20 ms bursts of 1 kHz within 25 ms of where they are found
// here.
func TestBurstsAgainstAubio(t *testing.T) {
	t.Parallel()
	reftest.Tool(t, "aubioonset")
	path := filepath.Join(t.TempDir(), "bursts.wav")
	at := writeBursts(t, path)
	theirs, err := truth.Aubio(t.Context(), path, "hfc")
	if err != nil {
		t.Fatal(err)
	}
	m, err := Analyse(t.Context(), path, func() (io.ReadSeekCloser, error) { return os.Open(path) }, nil)
	if err != nil {
		t.Fatal(err)
	}
	if s := truth.Match(theirs, m.times(), 25*time.Millisecond); s.Hits != len(at) || s.Found != len(at) {
		t.Errorf("found %v; aubio %v", m.times(), theirs)
	}
	// Out of silence a loud tone is seen as soon as the window touches it;
	// aubio has it 7 to 9 ms early.
	if s := truth.Match(at, m.times(), 12*time.Millisecond); s.Hits != len(at) {
		t.Errorf("found %v; they are at %v", m.times(), at)
	}
}
