package main

import (
	"math"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"drylane/playback"
	"drylane/testdata/reftest"
)

// checkInto runs a sound check of the demo into a WAV file and returns its
// path and its frames.
func checkInto(t *testing.T, args ...string) (path string, frames [][2]float64) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "check.wav")
	args = append([]string{"soundcheck", filepath.Join(root, "testdata", "demo", "show"), "--out", "wav:" + path}, args...)
	if code := run(args); code != exitOK {
		t.Fatalf("drylane %v: exit code %d", args, code)
	}
	m, err := playback.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	frames = make([][2]float64, m.Len())
	for n := 0; n < len(frames); {
		k, ok := m.Stream(frames[n:])
		if n += k; !ok {
			t.Fatalf("%d of %d frames: %v", n, len(frames), m.Err())
		}
	}
	return path, frames
}

// TestSoundcheckTone: sox reads the level and the frequency that were asked
// for, on each side.
func TestSoundcheckTone(t *testing.T) {
	sox := reftest.Tool(t, "sox")
	path, frames := checkInto(t, "--play", "tone", "--for", "3s", "--level=-12", "--left=-3", "--right=-9.5")
	if len(frames) != 3*44100 {
		t.Errorf("%d frames, want 3 s", len(frames))
	}
	for ch, want := range []float64{-15, -21.5} {
		remix := strconv.Itoa(ch + 1)
		if got := soxReads(t, `Pk lev dB\s+(\S+)`, sox, path, "-n", "remix", remix, "trim", "1", "1", "stats"); math.Abs(got-want) > 0.05 {
			t.Errorf("side %s peaks at %.2f dBFS, want %.1f", remix, got, want)
		}
		if got := soxReads(t, `Rough\s+frequency:\s+(\S+)`, sox, path, "-n", "remix", remix, "trim", "1", "1", "stat"); math.Abs(got-1000) > 2 {
			t.Errorf("side %s is at %.0f Hz, want 1000", remix, got)
		}
	}
}

func soxReads(t *testing.T, re string, name string, args ...string) float64 {
	t.Helper()
	text, err := exec.Command(name, args...).CombinedOutput()
	m := regexp.MustCompile(re).FindSubmatch(text)
	if err != nil || m == nil {
		t.Fatalf("%s %v: %v: %s", name, args, err, text)
	}
	v, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestSoundcheckSides: left is the first channel of a WAV file and right the
// second (RIFF WAVE, front left before front right); the other one is silent
// to the last bit.
func TestSoundcheckSides(t *testing.T) {
	for ch, what := range []string{"left", "right"} {
		_, frames := checkInto(t, "--play", what, "--for", "1s", "--left=0", "--right=0")
		peak := [2]float64{}
		for _, f := range frames {
			peak[0], peak[1] = max(peak[0], math.Abs(f[0])), max(peak[1], math.Abs(f[1]))
		}
		if peak[1-ch] != 0 || peak[ch] < 0.12 {
			t.Errorf("--play %s peaks at %v", what, peak)
		}
	}
}

// TestSoundcheckPolarity: within each burst the right side is the left, or the
// left turned over, to the last bit.
func TestSoundcheckPolarity(t *testing.T) {
	_, frames := checkInto(t, "--play", "polarity", "--for", "4500ms", "--left=0", "--right=0")
	same, over := 0, 0
	for i, f := range frames {
		switch inPhase := i < 99225; { // 2.25 s at 44.1 kHz
		case f[0] == 0 && f[1] == 0:
		case inPhase && f[0] == f[1]:
			same++
		case !inPhase && f[0] == -f[1]:
			over++
		default:
			t.Fatalf("frame %d is %v", i, f)
		}
	}
	if same < 80000 || over < 80000 {
		t.Errorf("%d frames in phase, %d out of phase; want nearly 2 s of each", same, over)
	}
}

// TestSoundcheckSoundtrack: a file reaches the output as it is.
func TestSoundcheckSoundtrack(t *testing.T) {
	_, got := checkInto(t, "--play", "soundtrack.mp3", "--for", "2s", "--left=0", "--right=0")
	m, err := playback.OpenFile(filepath.Join(root, "testdata", "demo", "show", "soundtrack.mp3"))
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	want := make([][2]float64, len(got))
	for n := 0; n < len(want); {
		k, ok := m.Stream(want[n:])
		if n += k; !ok {
			t.Fatal(m.Err())
		}
	}
	for i := 441; i < len(got); i++ { // the first 5 ms fade in
		if math.Abs(got[i][0]-want[i][0]) > 1.0/65536+1e-12 || math.Abs(got[i][1]-want[i][1]) > 1.0/65536+1e-12 {
			t.Fatalf("frame %d is %v, in the soundtrack %v", i, got[i], want[i])
		}
	}
}
