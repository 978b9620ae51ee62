package playback

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

	"github.com/faiface/beep"
	"pgregory.net/rapid"
)

// music makes n frames in which no two stretches are alike: a few tones and
// noise, different on either channel, quantised to 16 bits.
func music(n int) [][2]float64 {
	rnd := rand.New(rand.NewPCG(7, 11))
	f := make([][2]float64, n)
	for i := range f {
		for c := range 2 {
			v := 0.3*math.Sin(float64(i)*(0.02+0.01*float64(c))) + 0.2*math.Sin(float64(i*i)*1e-6) + 0.1*(rnd.Float64()-0.5)
			f[i][c] = math.Round(v*(1<<15)) / (1 << 15)
		}
	}
	return f
}

// readAll streams s from where it is to its end, in odd-sized pieces.
func readAll(t testing.TB, s beep.StreamSeeker) [][2]float64 {
	t.Helper()
	var all [][2]float64
	buf := make([][2]float64, 479)
	for {
		n, ok := s.Stream(buf)
		all = append(all, buf[:n]...)
		if !ok {
			break
		}
	}
	if err := s.Err(); err != nil {
		t.Fatalf("after %d frames: %v", len(all), err)
	}
	return all
}

func mustOpen(t testing.TB, path string) *Soundtrack {
	t.Helper()
	s, err := OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// run calls an outside program, which the test needs.
func run(t testing.TB, program string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(reftest.Tool(t, program), args...)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %v: %v\n%s", program, args, err, errs.String())
	}
	return out.Bytes()
}

// checkSeeks compares random seeks and reads with a straight decode.
func checkSeeks(t *testing.T, path string, straight [][2]float64) {
	t.Helper()
	s := mustOpen(t, path)
	buf := make([][2]float64, 3000)
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.IntRange(0, len(straight)).Draw(t, "at")
		if rapid.IntRange(0, 9).Draw(t, "edge") == 0 {
			at = rapid.SampledFrom([]int{0, 1, len(straight) - 1, len(straight)}).Draw(t, "place")
		}
		want := rapid.IntRange(1, len(buf)).Draw(t, "count")
		if err := s.Seek(at); err != nil {
			t.Fatal(err)
		}
		if s.Position() != at {
			t.Fatalf("position %d after a seek to %d", s.Position(), at)
		}
		n, ok := s.Stream(buf[:want])
		if left := len(straight) - at; n != min(want, left) || ok != (n > 0) {
			t.Fatalf("%d, %v of %d frames with %d left", n, ok, want, left)
		}
		for i, f := range buf[:n] {
			if f != straight[at+i] {
				t.Fatalf("after a seek to %d frame %d is %v, want %v", at, at+i, f, straight[at+i])
			}
		}
		if s.Position() != at+n {
			t.Fatalf("position %d, want %d", s.Position(), at+n)
		}
	})
	for _, at := range []int{-1, len(straight) + 1} {
		if err := s.Seek(at); err == nil {
			t.Errorf("seek to %d of %d gave no error", at, len(straight))
		}
	}
}

// A master written as WAV and encoded by the reference programs comes back
// frame for frame: exactly from the lossless formats, at the same place from
// the lossy ones.
func TestFormatsAgree(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		rate, channels int
		ext            string
		encode         func(in, out string)
		lossless       bool
	}{
		{48000, 2, "wav", nil, true},
		{22050, 1, "wav", nil, true},
		{44100, 2, "flac", func(in, out string) { run(t, "flac", "-s", "-8", "-o", out, in) }, true},
		{24000, 1, "flac", func(in, out string) { run(t, "flac", "-s", "--no-seektable", "-o", out, in) }, true},
		{96000, 2, "flac", func(in, out string) { run(t, "ffmpeg", "-v", "error", "-i", in, out) }, true},
		{88200, 2, "flac", func(in, out string) { run(t, "flac", "-s", "-0", "-b", "1152", "-o", out, in) }, true},
		{44100, 2, "ogg", func(in, out string) { run(t, "oggenc", "-Q", "-q6", "-o", out, in) }, false},
		{48000, 1, "ogg", func(in, out string) { run(t, "oggenc", "-Q", "-q6", "-o", out, in) }, false},
		{32000, 2, "ogg", func(in, out string) {
			run(t, "ffmpeg", "-v", "error", "-i", in, "-c:a", "libvorbis", "-q:a", "6", out)
		}, false},
		{44100, 2, "mp3", func(in, out string) { run(t, "lame", "--quiet", "-b", "320", in, out) }, false},
	} {
		t.Run(filepath.Ext("x." + tt.ext)[1:]+"-"+timebase.Clock(timebase.Frame(tt.rate).At(1)), func(t *testing.T) {
			master := music(tt.rate + 1234)
			path := writeWAV(t, tt.rate, tt.channels, WAVInt16, master)
			if tt.channels == 1 {
				master = readAll(t, mustOpen(t, path))
			}
			if tt.encode != nil {
				out := filepath.Join(t.TempDir(), "encoded."+tt.ext)
				tt.encode(path, out)
				path = out
			}
			s := mustOpen(t, path)
			if s.Rate() != tt.rate || s.Channels() != tt.channels || s.Len() != len(master) {
				t.Fatalf("%d Hz, %d channels, %d frames; want %d, %d, %d", s.Rate(), s.Channels(), s.Len(), tt.rate, tt.channels, len(master))
			}
			i := s.Info()
			if i.Truncated != "" || i.Unstated != "" || i.StartUncertain != 0 {
				t.Errorf("a whole file was described as %+v", i)
			}
			got := readAll(t, s)
			if len(got) != len(master) {
				t.Fatalf("streamed %d frames, want %d", len(got), len(master))
			}
			if tt.lossless {
				for i := range got {
					if got[i] != master[i] {
						t.Fatalf("frame %d is %v, want %v", i, got[i], master[i])
					}
				}
			} else if lag := bestLag(got, master); lag != 0 {
				t.Errorf("the music is %d frames late", lag)
			}
			if d := s.Info().Damage; len(d) > 0 {
				t.Errorf("damage in a whole file: %v", d)
			}
			checkSeeks(t, path, got)
		})
	}
}

// bestLag is the shift within 64 frames at which got correlates best with want.
func bestLag(got, want [][2]float64) int {
	best, at := math.Inf(-1), 0
	for lag := -64; lag <= 64; lag++ {
		var sum float64
		for i := 5000; i < 15000; i++ {
			sum += got[i+lag][0]*want[i][0] + got[i+lag][1]*want[i][1]
		}
		if sum > best {
			best, at = sum, lag
		}
	}
	return at
}

// The reference is oggdec, of the Vorbis authors: same length, and the same
// samples within one step of 16 bits.
func TestVorbisAgainstOggdec(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, q := range []string{"-q-1", "-q4", "-q10"} {
		in := writeWAV(t, 44100, 2, WAVInt16, music(100_001))
		out, raw := filepath.Join(dir, "a.ogg"), filepath.Join(dir, "a.raw")
		run(t, "oggenc", "-Q", q, "-o", out, in)
		run(t, "oggdec", "-Q", "-R", "-o", raw, out)
		want, err := os.ReadFile(raw)
		if err != nil {
			t.Fatal(err)
		}
		got := readAll(t, mustOpen(t, out))
		if len(got)*4 != len(want) {
			t.Fatalf("%s: %d frames, oggdec has %d", q, len(got), len(want)/4)
		}
		for i := range got {
			for c := range 2 {
				w := float64(int16(binary.LittleEndian.Uint16(want[4*i+2*c:]))) / (1 << 15)
				if math.Abs(got[i][c]-w) > 1.01/(1<<15) {
					t.Fatalf("%s: frame %d channel %d is %v, oggdec has %v", q, i, c, got[i][c], w)
				}
			}
		}
	}
}
