package companion

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/check/tone"
	"drylane/testdata/reftest"
)

// trackShow makes a show with a click for music, a witness, a hand-fired
// position and one track with these sides.
func trackShow(t *testing.T, left, right string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "show")
	if err := folder.WriteStarter(dir); err != nil {
		t.Fatal(err)
	}
	toml, err := os.ReadFile(filepath.Join(dir, "show.toml"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(toml), "# hand_fired", "hand_fired", 1) +
		"\n[[track]]\nfile = \"out.wav\"\nleft = '" + left + "'\nright = '" + right + "'\n"
	if err := os.WriteFile(filepath.Join(dir, "show.toml"), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// runTracks builds the tracks of a show and returns the folder, what was found in
// them, and what was noted.
func runTracks(ctx context.Context, t *testing.T, dir string) (to, found, noted string, err error) {
	t.Helper()
	f, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	to = t.TempDir()
	b := Builder{Folder: f, To: to, Note: func(text string) { noted += text + "\n" }, Tell: func(string, float64) {}}
	built, err := b.Build(ctx)
	for _, one := range built {
		found += "left   " + one.Found[0] + "\nright  " + one.Found[1] + "\n"
	}
	return to, found, noted, err
}

// samples reads one side of a file whole.
func samples(t *testing.T, path string, side int) ([]float64, int) {
	t.Helper()
	s, err := playback.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	frames := make([][2]float64, s.Len())
	for n := 0; n < len(frames); {
		k, ok := s.Stream(frames[n:])
		if !ok {
			t.Fatal(s.Err())
		}
		n += k
	}
	mono := make([]float64, len(frames))
	for i, f := range frames {
		mono[i] = f[side]
	}
	return mono, s.Rate()
}

// The witness is heard by those who listen for one in a soundtrack.
func TestWitnessIsHeard(t *testing.T) {
	to, _, _, err := runTracks(t.Context(), t, trackShow(t, "music left, witness", "silence"))
	if err != nil {
		t.Fatal(err)
	}
	mono, rate := samples(t, filepath.Join(to, "out.wav"), 0)
	const from = 4500 * time.Millisecond
	start := int(from.Seconds() * float64(rate))
	found := tone.Find(mono[start:start+2*rate], rate)
	if found == nil {
		t.Fatal("no tone found")
	}
	if at := from + found.At; (at-5*time.Second).Abs() > 15*time.Millisecond || math.Abs(found.Hz-show.WitnessHz) > 3 {
		t.Errorf("a tone of %.1f Hz at %s, want %g Hz at 5 s", found.Hz, at, show.WitnessHz)
	}
}

// Calls by a real voice: the show's cues at the right-hand position ignite at
// 10.000, 11.800 and 21.200 s.
func TestSpokenCalls(t *testing.T) {
	reftest.Tool(t, "espeak-ng")
	to, out, errOut, err := runTracks(t.Context(), t, trackShow(t, "calls Right", "pips"))
	if err != nil {
		t.Fatal(err)
	}
	for _, side := range []string{"left   3 words in ", "right  3 words in "} {
		if !strings.Contains(out, side) {
			t.Errorf("%s\nwant %q", out, side)
		}
	}
	if strings.Contains(errOut, "pips") {
		t.Errorf("there is a voice, and it says %q", errOut)
	}
	// Nothing is said in the gap of 2 s before each warning, on either side.
	for side := range 2 {
		mono, rate := samples(t, filepath.Join(to, "out.wav"), side)
		for _, ms := range []int{1000, 13500} {
			for i, s := range mono[ms*rate/1000 : (ms+500)*rate/1000] {
				if s != 0 {
					t.Fatalf("side %d sounds at %d ms", side, ms+i*1000/rate)
				}
			}
		}
	}
}

func TestCallsWithoutAVoice(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	_, out, errOut, err := runTracks(t.Context(), t, trackShow(t, "calls Right", "silence"))
	if err != nil || !strings.Contains(out, "3 words") || !strings.Contains(errOut, "espeak-ng is not installed: calls are made as pips") {
		t.Errorf("%v, %q, %q; want pips and a note", err, out, errOut)
	}
}

// What is stopped leaves nothing behind.
func TestStoppedTrackLeavesNothing(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	to, _, _, err := runTracks(ctx, t, trackShow(t, "music", "silence"))
	if err == nil || !strings.Contains(err.Error(), "stopped: ") {
		t.Errorf("%v, want that it was stopped", err)
	}
	if list, err := os.ReadDir(to); err != nil || len(list) != 0 {
		t.Errorf("left behind: %v, %v", list, err)
	}
}
