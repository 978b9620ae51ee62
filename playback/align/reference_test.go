package align

import (
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"drylane/testdata/reftest"
)

// writeWAV writes m as 16-bit PCM.
func writeWAV(t *testing.T, path string, m music) {
	t.Helper()
	data := make([]byte, 0, 44+4*len(m.frames))
	data = append(data, "RIFF"...)
	data = binary.LittleEndian.AppendUint32(data, uint32(36+4*len(m.frames)))
	data = append(data, "WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00"...)
	data = binary.LittleEndian.AppendUint32(data, uint32(m.rate))
	data = binary.LittleEndian.AppendUint32(data, uint32(4*m.rate))
	data = append(data, "\x04\x00\x10\x00data"...)
	data = binary.LittleEndian.AppendUint32(data, uint32(4*len(m.frames)))
	for _, f := range m.frames {
		for _, v := range f {
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(16000*max(-2, min(2, v))))))
		}
	}
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
}

// decoded reads any file through ffmpeg, at its own rate, which is given.
func decoded(t *testing.T, path string, rate int) music {
	t.Helper()
	cmd := exec.Command(reftest.Tool(t, "ffmpeg"), "-v", "error", "-i", path, "-f", "f32le", "-ac", "2", "-")
	cmd.Stderr = os.Stderr
	raw, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	m := music{rate, make([][2]float64, len(raw)/8)}
	for i := range m.frames {
		for c := range 2 {
			m.frames[i][c] = float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[8*i+4*c:])))
		}
	}
	return m
}

func run(t *testing.T, name string, args ...string) {
	t.Helper()
	if out, err := exec.Command(reftest.Tool(t, name), args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
}

// Files that other programs made of one master: LAME codes, SoX changes speed,
// FFmpeg resamples, filters, decodes (and takes the coder's delay out).
func TestAgainstOtherPrograms(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("compares eight files of a minute each")
	}
	dir := t.TempDir()
	m := compose(score{seed: 8, rate: 44100, seconds: 60, bpm: 104})
	in := filepath.Join(dir, "master.wav")
	writeWAV(t, in, m)
	a := decoded(t, in, 44100)
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, c := range []struct {
		name    string
		make    func(out string)
		file    string
		rate    int
		ms, ppm float64
	}{
		{"lame 96 kbit/s", func(out string) { run(t, "lame", "--quiet", "--resample", "44.1", "-b", "96", in, out) }, "b96.mp3", 44100, 0, 0},
		{"lame 96 kbit/s at 32 kHz", func(out string) { run(t, "lame", "--quiet", "--resample", "32", "-b", "96", in, out) }, "b96at32.mp3", 32000, 0, 0},
		{"lame 96 kbit/s of a late, quiet, noisy, equalised copy", func(out string) {
			run(t, "ffmpeg", "-v", "error", "-i", in, "-f", "lavfi", "-i", "anoisesrc=r=44100:a=0.02:seed=1",
				"-filter_complex", "[0]volume=-9dB,treble=g=6,adelay=250:all=1[m];[m][1]amix=duration=first:normalize=0", out+".wav")
			run(t, "lame", "--quiet", "--resample", "44.1", "-b", "96", out+".wav", out)
		}, "all.mp3", 44100, 250, 0},
		{"lame 96 kbit/s mono", func(out string) { run(t, "lame", "--quiet", "-m", "m", "-b", "96", in, out) }, "mono.mp3", 44100, 0, 0},
		{"ffmpeg to 48 kHz", func(out string) { run(t, "ffmpeg", "-v", "error", "-i", in, "-ar", "48000", out) }, "48.wav", 48000, 0, 0},
		{"sox speed 0.9999", func(out string) { run(t, "sox", in, out, "speed", "0.9999", "rate", "-v", "44100") }, "slow.wav", 44100, 0, 100.01},
		{"sox speed 1.00002", func(out string) { run(t, "sox", in, out, "speed", "1.00002", "rate", "-v", "44100") }, "fast.wav", 44100, 0, -20},
		{"sox trim and Vorbis", func(out string) { run(t, "sox", in, out, "trim", "20.5") }, "trim.ogg", 44100, -20500, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.make(at(c.file))
			r := compare(t, a, decoded(t, at(c.file), c.rate), Options{})
			planted{ms: c.ms, ppm: c.ppm, gain: r.GainDB}.check(t, r, 0.1, 1, 0)
			t.Logf("%.4f ms, %.3f ppm, shared %.2f, %d of %d windows", r.OffsetMs-c.ms, r.RatePPM-c.ppm, r.Shared, r.WindowsUsed, r.WindowsTotal)
		})
	}
}
