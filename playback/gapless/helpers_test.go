package gapless

import (
	"bytes"
	"encoding/binary"
	"flag"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"drylane/testdata/reftest"
)

var makeTestdata = flag.Bool("make-testdata", false, "make the committed MP3 files again, with lame")

// master is the synthesised sound that every test MP3 is made from: per channel
// a rising and a falling tone, so that it is like itself at no shift.
func master(rate, channels, frames int) [][2]float64 {
	out := make([][2]float64, frames)
	for i := range out {
		t := float64(i) / float64(rate)
		sweep := func(from, slope float64) float64 {
			return math.Sin(2 * math.Pi * (from + slope*t/2) * t)
		}
		out[i][0] = 0.35*sweep(200, 3000) + 0.2*sweep(2500, -1500)
		out[i][1] = 0.35*sweep(300, 1700) + 0.2*sweep(3000, -2000)
		if channels == 1 {
			out[i][1] = out[i][0]
		}
	}
	return out
}

// writeWAV writes frames as a 16-bit WAV file.
func writeWAV(t testing.TB, name string, rate, channels int, frames [][2]float64) {
	t.Helper()
	var b bytes.Buffer
	size := len(frames) * channels * 2
	b.WriteString("RIFF")
	for _, v := range []any{uint32(36 + size), []byte("WAVEfmt "), uint32(16), uint16(1), uint16(channels),
		uint32(rate), uint32(rate * channels * 2), uint16(channels * 2), uint16(16), []byte("data"), uint32(size)} {
		binary.Write(&b, binary.LittleEndian, v)
	}
	for _, f := range frames {
		for c := range channels {
			binary.Write(&b, binary.LittleEndian, int16(math.Round(f[c]*32000)))
		}
	}
	writeFile(t, name, b.Bytes())
}

func writeFile(t testing.TB, name string, b []byte) {
	t.Helper()
	if err := os.WriteFile(name, b, 0o666); err != nil {
		t.Fatal(err)
	}
}

// encode makes an MP3 of sound with the named program and returns it. In args,
// IN and OUT stand for the files.
func encode(t testing.TB, sound func(rate, channels, frames int) [][2]float64, rate, channels, frames int, program string, args ...string) []byte {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.wav"), filepath.Join(dir, "out.mp3")
	writeWAV(t, in, rate, channels, sound(rate, channels, frames))
	line := make([]string, len(args))
	for i, a := range args {
		line[i] = map[string]string{"IN": in, "OUT": out}[a]
		if line[i] == "" {
			line[i] = a
		}
	}
	run(t, program, line...)
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// run runs a reference program and returns what it prints.
func run(t testing.TB, program string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(reftest.Tool(t, program), args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", program, args, err, stderr.Bytes())
	}
	return out
}

// mpg123 decodes b to 32-bit floats with libmpg123's own gapless code.
func mpg123(t testing.TB, b []byte) [][2]float64 {
	t.Helper()
	return floats(run(t, "mpg123", "-q", "-e", "f32", "--stereo", "-s", save(t, b)))
}

// ffmpeg decodes b to 32-bit floats, a mono file onto both channels alike.
func ffmpeg(t testing.TB, b []byte, channels int) [][2]float64 {
	t.Helper()
	spread := "pan=stereo|c0=c0|c1=c0"
	if channels == 2 {
		spread = "anull"
	}
	return floats(run(t, "ffmpeg", "-v", "fatal", "-i", save(t, b), "-af", spread, "-f", "f32le", "-"))
}

func save(t testing.TB, b []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "x.mp3")
	writeFile(t, name, b)
	return name
}

func floats(b []byte) [][2]float64 {
	out := make([][2]float64, len(b)/8)
	for i := range out {
		for c := range 2 {
			out[i][c] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[8*i+4*c:])))
		}
	}
	return out
}

// testFile returns a committed MP3.
func testFile(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func open(t testing.TB, b []byte) *Reader {
	t.Helper()
	r, err := NewReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// readAll streams all that is left, in odd pieces.
func readAll(t testing.TB, r *Reader) [][2]float64 {
	t.Helper()
	var out [][2]float64
	buf := make([][2]float64, 479)
	for {
		n, ok := r.Stream(buf)
		if !ok {
			break
		}
		out = append(out, buf[:n]...)
	}
	if err := r.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}

// lag is the shift, within reach, at which got is most like want, and how like
// it is there: 1 for a scaled copy.
func lag(got, want [][2]float64, reach int) (int, float64) {
	best, at := math.Inf(-1), 0
	for shift := -reach; shift <= reach; shift++ {
		var sum, gg, ww float64
		for i := max(0, -shift); i < min(len(want), len(got)-shift); i++ {
			g, w := got[i+shift][0], want[i][0]
			sum, gg, ww = sum+g*w, gg+g*g, ww+w*w
		}
		if c := sum / math.Sqrt(gg*ww); c > best {
			best, at = c, shift
		}
	}
	return at, best
}

// worst is the largest difference between a and b and where it is, over the
// shorter of them.
func worst(a, b [][2]float64) (float64, int) {
	most, at := 0.0, 0
	for i := range min(len(a), len(b)) {
		for c := range 2 {
			if d := math.Abs(a[i][c] - b[i][c]); d > most {
				most, at = d, i
			}
		}
	}
	return most, at
}

// lsb is one step of 16-bit sound. The MP3 decoder cuts off what is below.
const lsb = 1.0 / 32767
