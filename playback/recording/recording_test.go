package recording

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/internal/fired"
	"drylane/playback/internal/outdoors"
	"drylane/playback/listen"
	"drylane/playback/pieces"
	"drylane/playback/resample"
	"drylane/playback/wavtest"
	"drylane/show/hear"
	"drylane/testdata/reftest"
)

const demo = "../../testdata/demo/show"

func file(path string) listen.File {
	return listen.File{Name: path, Open: func() (io.ReadSeekCloser, error) { return playback.OpenBytes(path) }}
}

// fire has the demo show fired 0.12 s late, its barge 0.3 s later still, and writes what a
// telephone took in of it.
func fire(t *testing.T, path string) *fired.Night {
	t.Helper()
	s, err := folder.Read(demo)
	if err != nil {
		t.Fatal(err)
	}
	music := mono(t, filepath.Join(demo, s.Soundtrack.File), fired.Rate)
	n := fired.New(rand.New(rand.NewPCG(5, 6)), s, time.Duration(len(music))*time.Second/fired.Rate, fired.Plan{
		Wind: 0.2, Crowd: 0.15, Bangs: 18, Clip: 0.6, Echo: 0.8, Holds: 2,
		Late: 120 * time.Millisecond, Position: "Barge", PositionLate: 300 * time.Millisecond,
	})
	const rate = 48000
	r, err := resample.New(fired.Rate, rate)
	if err != nil {
		t.Fatal(err)
	}
	tape := outdoors.Stereo(n.Record(music))
	r.Write(tape)
	out := make([][2]float64, 3*len(tape))
	out = out[:r.Drain(out)]
	wavtest.Write(t, path, rate, 1, out)
	return n
}

// TestHear: from a telephone's recording, and from what its coder leaves of it, to how late
// the fire was.
func TestHear(t *testing.T) {
	if testing.Short() {
		t.Skip("it makes and hears three minutes of sound")
	}
	wav := filepath.Join(t.TempDir(), "phone.wav")
	n := fire(t, wav)
	l, err := folder.Open(demo)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	t.Run("WAV", func(t *testing.T) { check(t, n, l, wav) })
	t.Run("AAC at 64 kbit/s", func(t *testing.T) {
		coded := filepath.Join(t.TempDir(), "phone.m4a")
		if out, err := exec.Command(reftest.Tool(t, "ffmpeg"), "-loglevel", "error", "-i", wav, "-c:a", "aac", "-b:a", "64k", coded).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		check(t, n, l, coded)
	})
}

func check(t *testing.T, n *fired.Night, l *folder.Folder, path string) {
	taken, rep, err := Hear(t.Context(), l.Show, l.Listened(), []listen.File{file(path)}, 0, silently)
	if err != nil {
		t.Fatal(err)
	}
	got := taken[0]
	if off := got.Lie.Offset - n.Offset; math.Abs(off) > 0.005 {
		t.Errorf("the music begins %.1f ms beside its place", 1000*off)
	}
	if math.Abs(got.Lie.PPM-n.PPM) > 2 {
		t.Errorf("the clock is %+.1f ppm, want %+.1f", got.Lie.PPM, n.PPM)
	}
	holds := got.Holds()
	if len(holds) != len(n.Holds) {
		t.Fatalf("holds %+v, want %+v", holds, n.Holds)
	}
	for i, h := range n.Holds {
		if (holds[i].Length-h.Length).Abs() > 50*time.Millisecond || (holds[i].At-h.At).Abs() > time.Second {
			t.Errorf("held at %s for %s, want %s for %s", holds[i].At, holds[i].Length, h.At, h.Length)
		}
	}
	if len(got.Wave) != int(got.Length*hear.WaveHz/time.Second) {
		t.Errorf("%d peaks of %s", len(got.Wave), got.Length)
	}
	if late := rep.Show.Late; (late-n.Late).Abs() > 30*time.Millisecond || !rep.Show.Told {
		t.Errorf("late by %s, want %s", late, n.Late)
	}
	for _, p := range rep.Positions {
		if p.Apart != (p.Name == n.Position) {
			t.Errorf("%s stands apart: %v", p.Name, p.Apart)
		}
		if want := n.Late + n.PositionLate; p.Apart && (p.Late-want).Abs() > 60*time.Millisecond {
			t.Errorf("%s is %s late, want %s", p.Name, p.Late, want)
		}
	}
}

// TestHeldIn: a comparison has the holds of a recording, and nothing where the music skips.
func TestHeldIn(t *testing.T) {
	lie := pieces.Lie{Pieces: []pieces.Piece{{From: 0, To: 43.8, At: 24.3, Rate: 1}, {From: 43.8, To: 90, At: 24.3 + 43.8 + 5.26, Rate: 1}, {From: 90, To: 130, At: 118, Rate: 1}}}
	got := heldIn(lie)
	if len(got) != 1 || math.Abs(got[0].AtMs-43800) > 1 || math.Abs(got[0].LengthMs-5260) > 1 {
		t.Errorf("%+v, want one hold of 5.26 s at 0:43.8", got)
	}
}

// TestHearNothing: a file that has nothing of the music is refused by its name.
func TestHearNothing(t *testing.T) {
	l, err := folder.Open(demo)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	path := filepath.Join(t.TempDir(), "talk.wav")
	wavtest.Write(t, path, 22050, 1, make([][2]float64, 30*22050))
	_, _, err = Hear(t.Context(), l.Show, l.Listened(), []listen.File{file(path)}, 0, silently)
	if err == nil || !strings.Contains(err.Error(), "talk.wav: found none of the soundtrack") {
		t.Error(err)
	}
	slow := filepath.Join(t.TempDir(), "call.wav")
	wavtest.Write(t, slow, 8000, 1, make([][2]float64, 8000))
	_, _, err = Hear(t.Context(), l.Show, l.Listened(), []listen.File{file(slow)}, 0, silently)
	if err == nil || !strings.HasSuffix(err.Error(), "runs at 8000 Hz; 22050 to 96000 Hz is wanted: ffmpeg -i OLD -ar 44100 NEW.wav converts it") {
		t.Error(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, _, err = Hear(ctx, l.Show, l.Listened(), []listen.File{file(path)}, 0, silently); err == nil {
		t.Error("nobody noticed that it was stopped")
	}
	if _, err := os.Stat(path); err != nil {
		t.Error(err)
	}
}
