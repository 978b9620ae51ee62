package onset

import (
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback/internal/truth"
	"drylane/testdata/reftest"
)

// On music rendered from MIDI files the onsets are found no worse than by the
// best of aubio's methods on that very piece. Command evaluate does the same
// for all pieces and prints the table.
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
	}
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
