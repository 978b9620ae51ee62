package ltc

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

// throughMP3 encodes stereo frames with lame at 192 kbit/s and decodes them
// with the given program. Both ends of the delay are cut by the gapless tag.
func throughMP3(t *testing.T, frames [][2]float64, rate int, decoder ...string) [][2]float64 {
	t.Helper()
	dir := t.TempDir()
	mp3, pcm := filepath.Join(dir, "a.mp3"), filepath.Join(dir, "a.pcm")
	var raw []byte
	for _, f := range frames {
		for _, v := range f {
			raw = binary.LittleEndian.AppendUint16(raw, uint16(int16(math.Round(v*32767))))
		}
	}
	lame := exec.Command(reftest.Tool(t, "lame"), "--silent", "-r", "-s", map[int]string{44100: "44.1", 48000: "48"}[rate],
		"--bitwidth", "16", "--signed", "--little-endian", "-m", "j", "-b", "192", "-", mp3)
	lame.Stdin = bytes.NewReader(raw)
	if out, err := lame.CombinedOutput(); err != nil {
		t.Fatalf("lame: %v: %s", err, out)
	}
	args := map[string][]string{
		"mpg123": {"-q", "-e", "s16", "-O", pcm, mp3},
		"ffmpeg": {"-v", "error", "-i", mp3, "-f", "s16le", "-acodec", "pcm_s16le", pcm},
	}[decoder[0]]
	if out, err := exec.Command(reftest.Tool(t, decoder[0]), args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v: %s", decoder[0], err, out)
	}
	raw, err := os.ReadFile(pcm)
	if err != nil {
		t.Fatal(err)
	}
	back := make([][2]float64, len(raw)/4)
	for i := range back {
		for j := range 2 {
			back[i][j] = float64(int16(binary.LittleEndian.Uint16(raw[4*i+2*j:]))) / 32768
		}
	}
	return back
}

// TestThroughMP3: timecode on the left and something like loud music on the
// right survive an MP3 at 192 kbit/s, joint stereo: every frame is found,
// within a sample, at every rate, forwards and backwards.
func TestThroughMP3(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	reftest.Tool(t, "lame")
	const count = 150
	for i, r := range timebase.Rates {
		rate := []int{44100, 48000}[i%2]
		s := frameSound(t, Config{Rate: r, SampleRate: rate, Start: startFor(r), Level: -12}, count)
		frames := make([][2]float64, len(s))
		random := rand.New(rand.NewPCG(7, uint64(i)))
		var low float64
		for j, x := range s {
			low += (random.NormFloat64() - low) / 8
			beat := 0.2 + 0.6*math.Exp(-float64(j%22050)/4000)
			frames[j] = [2]float64{x, min(max(beat*low, -1), 1)}
		}
		back := throughMP3(t, frames, rate, []string{"mpg123", "ffmpeg"}[i/2%2])
		left := make([]float64, len(back))
		for j, f := range back {
			left[j] = f[0]
		}
		wantRun(t, decode(t, left, rate), r, startFor(r), count, rate, 0, 1)
		wantBackwards(t, decode(t, reversed(left), rate), r, startFor(r), count)
	}
}
