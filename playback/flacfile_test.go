package playback

import (
	"bytes"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

// flacBytes encodes n frames of music with the reference encoder.
func flacBytes(t testing.TB, n int, args ...string) ([]byte, [][2]float64) {
	t.Helper()
	frames := music(n)
	in, out := writeWAV(t, 44100, 2, WAVInt16, frames), filepath.Join(t.TempDir(), "out.flac")
	run(t, "flac", append(append([]string{"-s", "-o", out}, args...), in)...)
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return b, frames
}

func mustOpenBytes(t testing.TB, b []byte) *Soundtrack {
	t.Helper()
	s, err := openBytes(b)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A damaged stretch is silent, all else stays where it was, whether it is
// reached straight or by a seek.
func TestFLACDamage(t *testing.T) {
	t.Parallel()
	b, want := flacBytes(t, 200_000)
	for _, tt := range []struct {
		name  string
		spoil func(b []byte) []byte
	}{
		{"bits flipped", func(b []byte) []byte { b[len(b)/2] ^= 0x10; return b }},
		{"first block", func(b []byte) []byte {
			for i := 9000; i < 9100; i++ { // behind the padding that flac leaves
				b[i] = 0
			}
			return b
		}},
		{"a stretch of rubbish", func(b []byte) []byte {
			for i := range 60_000 {
				b[len(b)/3+i] = byte(i*i>>3) | 0xF0
			}
			return b
		}},
		{"a hole", func(b []byte) []byte { return append(b[:len(b)/3], b[len(b)/2:]...) }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			spoilt := tt.spoil(bytes.Clone(b))
			s := mustOpenBytes(t, spoilt)
			got := readAll(t, s)
			if len(got) != len(want) {
				t.Fatalf("%d frames, want %d", len(got), len(want))
			}
			damage := s.Info().Damage
			if len(damage) != 1 {
				t.Fatalf("damage %+v, want one stretch", damage)
			}
			d := damage[0]
			for i := range got {
				w := want[i]
				if timebase.Frame(i) >= d.At && timebase.Frame(i) < d.At+d.Frames {
					w = [2]float64{}
				}
				if got[i] != w {
					t.Fatalf("frame %d is %v, want %v; damage %+v", i, got[i], w, d)
				}
			}
			path := filepath.Join(t.TempDir(), "spoilt.flac")
			if err := os.WriteFile(path, spoilt, 0o644); err != nil {
				t.Fatal(err)
			}
			checkSeeks(t, path, got)
		})
	}
}

func TestFLACTruncated(t *testing.T) {
	t.Parallel()
	b, want := flacBytes(t, 200_000)
	s := mustOpenBytes(t, b[:len(b)/2])
	got := readAll(t, s)
	if len(got) != s.Len() || s.Len()%4096 != 0 || s.Len() < 80_000 || s.Len() > 120_000 {
		t.Errorf("%d frames of %d", len(got), s.Len())
	}
	for i := range got {
		if got[i] != want[i] {
			t.Fatalf("frame %d is %v, want %v", i, got[i], want[i])
		}
	}
	if i := s.Info(); !strings.Contains(i.Truncated, "0:04 of music, but it is cut off after 0:02") {
		t.Errorf("truncated: %q", i.Truncated)
	}
}

// Variants of the container: no stated length, tags before and behind, a file
// cut out of a longer one, whose first block has a later number.
func TestFLACLayouts(t *testing.T) {
	t.Parallel()
	b, want := flacBytes(t, 50_000)
	unstated := bytes.Clone(b)
	unstated[21] &= 0xF0 // the 36 bits of the length end at byte 26
	clear(unstated[22:26])
	id3 := append([]byte("ID3\x04\x00\x00\x00\x00\x02\x01"), make([]byte, 257)...)
	src := mustOpenBytes(t, b).decoder.(*flacFile).src
	first, err := src.decode(src.start)
	if err != nil {
		t.Fatal(err)
	}
	for name, file := range map[string][]byte{
		"cut out":        append(bytes.Clone(b[:first.at]), b[first.end:]...),
		"ID3 in front":   append(id3, b...),
		"ID3 behind":     append(bytes.Clone(b), append([]byte("TAG"), make([]byte, 125)...)...),
		"rubbish behind": append(bytes.Clone(b), bytes.Repeat([]byte{0xFF, 0xF8, 0xC9, 0x18}, 40_000)...),
		"unstated":       unstated,
	} {
		s := mustOpenBytes(t, file)
		got, want := readAll(t, s), want
		if name == "cut out" {
			want = want[4096:]
		}
		if len(got) != len(want) {
			t.Errorf("%s: %d frames, want %d", name, len(got), len(want))
			continue
		}
		for i := range got {
			if got[i] != want[i] {
				t.Fatalf("%s: frame %d is %v, want %v", name, i, got[i], want[i])
			}
		}
		if i := s.Info(); (i.Unstated != "") != (name == "unstated") || (i.Truncated != "") != (name == "cut out") || len(i.Damage) > 0 {
			t.Errorf("%s: %+v", name, i)
		}
	}
}

// A file of 20 bits, and one of short blocks with odd sizes at a piped end.
func TestFLACSampleSizes(t *testing.T) {
	t.Parallel()
	raw := run(t, "sox", "-R", "-n", "-r", "32000", "-b", "24", "-t", "wav", "-", "synth", "1", "sine", "300-3000", "pinknoise")
	in := filepath.Join(t.TempDir(), "in.wav")
	if err := os.WriteFile(in, raw, 0o644); err != nil {
		t.Fatal(err)
	}
	want := readAll(t, mustOpen(t, in))
	for _, args := range []string{"-b 192 -l 0", "-b 4608 -8", "-8 -p -e"} {
		out := filepath.Join(t.TempDir(), "out.flac")
		run(t, "flac", append(strings.Fields("-s --ignore-chunk-sizes -o "+out+" "+args), in)...)
		s := mustOpen(t, out)
		if s.Info().Bits != 24 {
			t.Errorf("%s: %d bits", args, s.Info().Bits)
		}
		got := readAll(t, s)
		if len(got) != len(want) {
			t.Fatalf("%s: %d frames, want %d", args, len(got), len(want))
		}
		for i := range got {
			if got[i] != want[i] {
				t.Fatalf("%s: frame %d is %v, want %v", args, i, got[i], want[i])
			}
		}
		checkSeeks(t, out, got)
	}
}

// The decoder underneath has remarks to make on 24 kHz; the screen is the
// shooter's.
func TestFLACPrintsNothing(t *testing.T) {
	t.Parallel()
	var printed bytes.Buffer
	log.SetOutput(&printed)
	defer log.SetOutput(os.Stderr)
	s := mustOpen(t, "testdata/ramp24.flac")
	readAll(t, s)
	if err := s.Seek(1234); err != nil {
		t.Fatal(err)
	}
	if printed.Len() > 0 {
		t.Errorf("printed %q", printed.String())
	}
}

// A damaged block of a 24 kHz stream is still found out.
func TestFLACDamageAt24kHz(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile("testdata/ramp24.flac")
	if err != nil {
		t.Fatal(err)
	}
	b[len(b)-300] ^= 4
	s := mustOpenBytes(t, b)
	readAll(t, s)
	if d := s.Info().Damage; len(d) != 1 || d[0].Frames != 576 {
		t.Errorf("damage %+v", d)
	}
}

func TestFLACRefused(t *testing.T) {
	t.Parallel()
	sample, err := os.ReadFile("testdata/ramp16.flac")
	if err != nil {
		t.Fatal(err)
	}
	set := func(at int, v ...byte) []byte {
		b := bytes.Clone(sample)
		copy(b[at:], v)
		return b
	}
	for _, tt := range []struct {
		name string
		file []byte
		want string
	}{
		{"stream info cut off", sample[:20], "cut off within its header"},
		{"cut in the header", sample[:50], "cut off within its header"},
		{"no sound", sample[:8300], "without a single whole block"},
		{"surround", set(20, sample[20]|0x0A), "has 6 channels"},
		{"32 bits", set(20, sample[20]|0x01, sample[21]|0xF0), "of 32 bits a sample"},
		{"25 bits", set(20, sample[20]|0x01, sample[21]&0x0F|0x80), "of 25 bits a sample"},
		{"176.4 kHz", set(18, 0x2B, 0x11, sample[20]&0x0F), "runs at 176400 Hz"},
		{"no stream info", set(4, 0x04), "broken header"},
	} {
		_, err := openBytes(tt.file)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want %q", tt.name, err, tt.want)
		}
	}
}

// The sum that a FLAC file states of its sound is held against the sound, once
// all of it has come by. flac -t is the judge beside.
func TestFLACSum(t *testing.T) {
	good, _ := flacBytes(t, 50_000)
	const sumAt = 4 + 4 + 18 // the marker, a block's header, the stream info before its MD5
	wrong := bytes.Clone(good)
	wrong[sumAt] ^= 1
	none := bytes.Clone(good)
	clear(none[sumAt : sumAt+16])
	mono := filepath.Join(t.TempDir(), "mono.flac")
	run(t, "flac", "-s", "-o", mono, writeWAV(t, 48000, 1, WAVInt24, music(30_000)))
	monoBytes, err := os.ReadFile(mono)
	if err != nil {
		t.Fatal(err)
	}
	flac := reftest.Tool(t, "flac")
	for _, tt := range []struct {
		name    string
		file    []byte
		altered bool
	}{{"good", good, false}, {"wrong", wrong, true}, {"none", none, false}, {"mono, 24 bits", monoBytes, false}} {
		path := filepath.Join(t.TempDir(), "x.flac")
		if err := os.WriteFile(path, tt.file, 0o644); err != nil {
			t.Fatal(err)
		}
		if refused := exec.Command(flac, "-t", "-s", path).Run() != nil; refused != tt.altered {
			t.Errorf("%s: flac -t refuses it: %v", tt.name, refused)
		}
		s := mustOpen(t, path)
		if got := s.Info().Altered; got != "" {
			t.Errorf("%s: before a pass %q", tt.name, got)
		}
		// Jumps about the file, then the whole of it.
		buf := make([][2]float64, 700)
		for _, at := range []int{20_000, 4095, 29_000, 0} {
			if err := s.Seek(at); err != nil {
				t.Fatal(err)
			}
			if s.Stream(buf); at > 0 && s.Info().Altered != "" {
				t.Errorf("%s: told at frame %d", tt.name, at)
			}
		}
		if err := s.Seek(0); err != nil {
			t.Fatal(err)
		}
		readAll(t, s)
		if got := s.Info().Altered; (got != "") != tt.altered || got != "" && !strings.Contains(got, "not what it was made from") {
			t.Errorf("%s: %q", tt.name, got)
		}
	}
}

// TestFLACFits: the head of a block belongs to the stream by its rate, its bits and its
// channels (RFC 9639, 9.1); 0 leaves them to the stream's own head.
func TestFLACFits(t *testing.T) {
	t.Parallel()
	s := &flacSource{rate: 44100, bits: 16, channels: 2}
	for name, c := range map[string]struct {
		head [4]byte
		want bool
	}{
		"44.1 kHz, 16 bits, both sides": {[4]byte{0xFF, 0xF8, 0xC9, 0x18}, true},
		"the stream's rate and bits":    {[4]byte{0xFF, 0xF9, 0xC0, 0x10}, true},
		"mid and side":                  {[4]byte{0xFF, 0xF8, 0xC9, 0xA8}, true},
		"a rate in kHz behind":          {[4]byte{0xFF, 0xF8, 0xCC, 0x18}, true},
		"a rate in tens behind":         {[4]byte{0xFF, 0xF8, 0xCE, 0x18}, true},
		"the rate that none is":         {[4]byte{0xFF, 0xF8, 0xCF, 0x18}, false},
		"another size of sample":        {[4]byte{0xFF, 0xF8, 0xC9, 0x1C}, false},
		"another rate":                  {[4]byte{0xFF, 0xF8, 0xCA, 0x18}, false},
		"one channel":                   {[4]byte{0xFF, 0xF8, 0xC9, 0x08}, false},
		"a reserved bit":                {[4]byte{0xFF, 0xF8, 0xC9, 0x19}, false},
		"no block":                      {[4]byte{0xFF, 0xFA, 0xC9, 0x18}, false},
	} {
		if got := s.fits(c.head[:]); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
