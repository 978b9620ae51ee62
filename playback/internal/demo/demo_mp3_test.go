package main

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"drylane/playback/internal/demo/cuelist"
	"drylane/playback/internal/demo/score"
	"drylane/testdata/reftest"

	"github.com/hajimehoshi/go-mp3"
)

// lameStart is how many frames go-mp3 delivers before the music of a file made
// by LAME: the tag's frame, the encoder's delay and the decoder's.
const lameStart = 1152 + 576 + 529

// decode returns the music of an MP3 by LAME, without its ends, n frames long.
func decode(t *testing.T, data []byte, n int) [][2]float64 {
	t.Helper()
	d, err := mp3.NewDecoder(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	pcm, err := io.ReadAll(d)
	if err != nil {
		t.Fatal(err)
	}
	if len(pcm) < 4*(lameStart+n) {
		t.Fatalf("the MP3 holds %d frames, want %d or more", len(pcm)/4-lameStart, n)
	}
	frames := make([][2]float64, n)
	for i := range frames {
		at := 4 * (lameStart + i)
		frames[i][0] = float64(int16(binary.LittleEndian.Uint16(pcm[at:]))) / 32768
		frames[i][1] = float64(int16(binary.LittleEndian.Uint16(pcm[at+2:]))) / 32768
	}
	return frames
}

// correlation of a with b, b taken lag frames later: 1 for the same music.
func correlation(a, b [][2]float64, lag int) float64 {
	ab, aa, bb := 0.0, 0.0, 0.0
	for i := max(0, -lag); i < len(a)-max(0, lag); i++ {
		for c := range 2 {
			x, y := a[i][c], b[i+lag][c]
			ab, aa, bb = ab+x*y, aa+x*x, bb+y*y
		}
	}
	return ab / math.Sqrt(aa*bb)
}

// The committed MP3 holds the music that the generator makes, in the very
// place, whatever the version of the encoder.
func TestDemoMP3IsTheMusic(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	data := demoFile(t, "soundtrack.mp3")
	if len(data) > 3<<20 {
		t.Errorf("the MP3 has %d bytes, want 3 MiB at most", len(data))
	}
	frames := decode(t, data, len(rendered()))
	for _, second := range []int{5, 60, 115} {
		master := rendered()[second*score.Rate:][:15*score.Rate]
		coded := frames[second*score.Rate:][:15*score.Rate]
		there := correlation(master, coded, 0)
		if there < 0.99 {
			t.Errorf("from %d s on the MP3 correlates with the music by %.5f, want 0.99", second, there)
		}
		for _, lag := range []int{-1, 1} {
			if c := correlation(master, coded, lag); c >= there {
				t.Errorf("from %d s on the MP3 fits better by %d frames: %.6f against %.6f", second, lag, c, there)
			}
		}
	}
}

// The committed MP3 is what LAME makes of the music, to the bit, or, with
// another build of LAME, one that sounds the same.
func TestDemoMP3ByLame(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	program := reftest.Tool(t, "lame")
	made := filepath.Join(t.TempDir(), "soundtrack.mp3")
	args := append(cuelist.LameOptions(), writeDemoWAV(t), made)
	if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data, err := os.ReadFile(made)
	if err != nil {
		t.Fatal(err)
	}
	committed := demoFile(t, "soundtrack.mp3")
	if bytes.Equal(data, committed) {
		return
	}
	t.Log("this LAME makes another file: comparing what they sound like")
	n := len(rendered())
	if c := correlation(decode(t, committed, n), decode(t, data, n), 0); c < 0.99 {
		t.Errorf("the committed MP3 and one made now correlate by %.6f, want 0.99", c)
	}
}

// mpg123 honours the gapless tag: it delivers the frames of the master, no
// more and no less.
func TestDemoMP3Length(t *testing.T) {
	t.Parallel()
	program := reftest.Tool(t, "mpg123")
	name := filepath.Join(t.TempDir(), "soundtrack.mp3")
	if err := os.WriteFile(name, demoFile(t, "soundtrack.mp3"), 0o600); err != nil {
		t.Fatal(err)
	}
	pcm, err := exec.Command(program, "-q", "-s", "-e", "s16", name).Output()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := len(pcm)/4, int(piece().Length); got != want {
		t.Errorf("mpg123 delivers %d frames, want %d", got, want)
	}
}
