package playback

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

// vorbisBytes encodes n frames of music with the reference encoder.
func vorbisBytes(t testing.TB, n int, args ...string) []byte {
	t.Helper()
	in, out := writeWAV(t, 44100, 2, WAVInt16, music(n)), filepath.Join(t.TempDir(), "out.ogg")
	run(t, "oggenc", append(append([]string{"-Q", "-o", out}, args...), in)...)
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// oggPages cuts a file into its pages.
func oggPages(t testing.TB, b []byte) (pages [][]byte) {
	t.Helper()
	src, err := newOggSource(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	for at := int64(0); at < int64(len(b)); {
		p, err := src.page(at)
		if err != nil {
			t.Fatal(err)
		}
		pages = append(pages, bytes.Clone(b[p.at:p.end]))
		at = p.end
	}
	return pages
}

// sealed puts pages together, with their checksums made right.
func sealed(pages [][]byte) (b []byte) {
	for _, p := range pages {
		p = bytes.Clone(p)
		binary.LittleEndian.PutUint32(p[22:], oggCRC(p))
		b = append(b, p...)
	}
	return b
}

// moveGranules adds d to the position of every page that has one.
func moveGranules(pages [][]byte, d int64) {
	for _, p := range pages {
		if g := int64(binary.LittleEndian.Uint64(p[6:])); g > 0 {
			binary.LittleEndian.PutUint64(p[6:], uint64(g+d))
		}
	}
}

// oggdec decodes with the Vorbis authors' program, to 16 bits.
func oggdec(t testing.TB, b []byte) []int16 {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.ogg"), filepath.Join(dir, "out.raw")
	if err := os.WriteFile(in, b, 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, "oggdec", "-Q", "-R", "-o", out, in)
	raw, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	v := make([]int16, len(raw)/2)
	for i := range v {
		v[i] = int16(binary.LittleEndian.Uint16(raw[2*i:]))
	}
	return v
}

// Where a page's position disagrees with what is decoded, the start or the end
// is to be cut (Vorbis I, A.2). The references are oggdec, and vcut, of the same
// authors, which cuts a file in two without encoding it again.
func TestVorbisTrimming(t *testing.T) {
	t.Parallel()
	whole := vorbisBytes(t, 100_000, "-q3")
	short := vorbisBytes(t, 2_000, "-q3")
	dir := t.TempDir()
	name := func(s string) string { return filepath.Join(dir, s) }
	if err := os.WriteFile(name("whole"), whole, 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, "vcut", name("whole"), name("head"), name("tail"), "31007")
	head, _ := os.ReadFile(name("head"))
	tail, _ := os.ReadFile(name("tail"))
	late, cut := oggPages(t, whole), oggPages(t, short)
	moveGranules(late, 123_456)
	moveGranules(cut, -40)
	for _, tt := range []struct {
		name   string
		file   []byte
		frames int
	}{
		{"untouched", whole, 100_000},
		{"head", head, 31_007},
		{"tail", tail, 100_000 - 31_007},
		{"starts late", sealed(late), 100_000},
		{"one page", short, 2_000},
		{"one page, cut", sealed(cut), 1_960},
	} {
		t.Run(tt.name, func(t *testing.T) {
			want := oggdec(t, tt.file)
			got := readAll(t, mustOpenBytes(t, tt.file))
			if len(got) != tt.frames || 2*len(got) != len(want) {
				t.Fatalf("%d frames, want %d, oggdec has %d", len(got), tt.frames, len(want)/2)
			}
			for i := range want {
				if math.Abs(got[i/2][i%2]-float64(want[i])/(1<<15)) > 1.01/(1<<15) {
					t.Fatalf("frame %d is %v, oggdec has %v", i/2, got[i/2], want[i])
				}
			}
			if err := os.WriteFile(name("a.ogg"), tt.file, 0o644); err != nil {
				t.Fatal(err)
			}
			checkSeeks(t, name("a.ogg"), got)
		})
	}
}

// The same where the frames to drop at the start span many packets, which oggdec
// does not manage: it has given them away before it learns of it.
func TestVorbisLongStartCut(t *testing.T) {
	t.Parallel()
	b := vorbisBytes(t, 100_000, "-q3")
	want := readAll(t, mustOpenBytes(t, b))[7777:]
	pages := oggPages(t, b)
	moveGranules(pages, -7777)
	got := readAll(t, mustOpenBytes(t, sealed(pages)))
	if len(got) != len(want) {
		t.Fatalf("%d frames, want %d", len(got), len(want))
	}
	for i := range got {
		if got[i] != want[i] {
			t.Fatalf("frame %d is %v, want %v", i, got[i], want[i])
		}
	}
}

// Missing and damaged pages are silence; all else stays where it was, whether
// it is reached straight or by a seek.
func TestVorbisDamage(t *testing.T) {
	t.Parallel()
	b := vorbisBytes(t, 300_000, "-q5")
	want := readAll(t, mustOpenBytes(t, b))
	pages := oggPages(t, b)
	k := len(pages) / 2
	for name, spoilt := range map[string][]byte{
		"a page lost":     sealed(append(append([][]byte(nil), pages[:k]...), pages[k+1:]...)),
		"a byte changed":  bytes.Join([][]byte{sealed(pages[:k]), bytes.Replace(pages[k], pages[k][300:310], make([]byte, 10), 1), sealed(pages[k+1:])}, nil),
		"rubbish between": bytes.Join([][]byte{sealed(pages[:k]), bytes.Repeat([]byte("OggS\x00"), 2000), sealed(pages[k+2:])}, nil),
		"first lost":      sealed(append(append([][]byte(nil), pages[:2]...), pages[3:]...)),
	} {
		t.Run(name, func(t *testing.T) {
			s := mustOpenBytes(t, spoilt)
			got := readAll(t, s)
			damage := s.Info().Damage
			late := 0
			if name == "first lost" { // the page that would say where frame 0 is
				late = len(want) - len(got)
			} else if len(damage) != 1 || len(got) != len(want) {
				t.Fatalf("%d frames, want %d, damage %+v", len(got), len(want), damage)
			}
			for i := range got {
				w := want[late+i]
				if len(damage) == 1 && timebase.Frame(i) >= damage[0].At && timebase.Frame(i) < damage[0].At+damage[0].Frames {
					w = [2]float64{}
				}
				if got[i] != w {
					t.Fatalf("frame %d is %v, want %v, damage %+v", i, got[i], w, damage)
				}
			}
			path := filepath.Join(t.TempDir(), "a.ogg")
			if err := os.WriteFile(path, spoilt, 0o644); err != nil {
				t.Fatal(err)
			}
			checkSeeks(t, path, got)
		})
	}
}

func TestVorbisTruncated(t *testing.T) {
	t.Parallel()
	b := vorbisBytes(t, 300_000)
	want := readAll(t, mustOpenBytes(t, b))
	s := mustOpenBytes(t, b[:len(b)/2])
	got := readAll(t, s)
	if len(got) != s.Len() || len(got) < 100_000 || len(got) > 200_000 {
		t.Errorf("%d frames of %d", len(got), s.Len())
	}
	for i := range got {
		if got[i] != want[i] {
			t.Fatalf("frame %d is %v, want %v", i, got[i], want[i])
		}
	}
	if i := s.Info(); !strings.Contains(i.Truncated, "cut off after 0:0") {
		t.Errorf("truncated: %q", i.Truncated)
	}
}

func TestVorbisRefused(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile("testdata/tone.ogg")
	if err != nil {
		t.Fatal(err)
	}
	pages := oggPages(t, b)
	other := oggPages(t, b)
	for _, p := range other {
		p[14]++ // the serial number
	}
	opus := append(bytes.Clone(pages[0][:28]), "OpusHead"...)
	opus[26], opus[27] = 1, 8
	surround := bytes.Clone(pages[0])
	surround[28+11] = 6
	short := append([][]byte(nil), pages[:2]...)
	for _, tt := range []struct {
		name string
		file []byte
		want string
	}{
		{"two pieces", append(bytes.Clone(b), b...), "several pieces one after another"},
		{"two pieces, other serial", append(bytes.Clone(b), sealed(other)...), "several pieces one after another"},
		{"two streams", sealed(append([][]byte{pages[0], other[0]}, pages[1:]...)), "several streams"},
		{"Opus", sealed([][]byte{opus}), "is an Ogg file with Opus; an Ogg Vorbis file"},
		{"surround", sealed(append([][]byte{surround}, pages[1:]...)), "has 6 channels"},
		{"no sound", sealed(short), "without any sound"},
		{"first page only", sealed(pages[:1]), "broken header"},
		{"damaged header", append(bytes.Clone(b[:100]), b[101:]...), "broken header"},
	} {
		_, err := openBytes(tt.file)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want %q", tt.name, err, tt.want)
		}
	}
}

// A second piece is told however short it is beside the first, and wherever it
// stands. ogginfo, of the Vorbis authors, says of each how many pieces it has.
func TestVorbisShortPiece(t *testing.T) {
	long, short := vorbisBytes(t, 1_500_000, "-s", "1"), vorbisBytes(t, 3_000, "-s", "2")
	middling := vorbisBytes(t, 400_000, "-q10", "-s", "1") // longer than lastPage looks back at once
	for name, file := range map[string][]byte{
		"behind":                    slices.Concat(long, short),
		"between":                   slices.Concat(long, short, long),
		"behind, the same serial":   slices.Concat(long, middling),
		"behind damage":             slices.Concat(long[:len(long)-3000], short),
		"behind, and rubbish there": slices.Concat(long, make([]byte, 5000), short, make([]byte, 5000)),
	} {
		if _, err := openBytes(file); err == nil || !strings.Contains(err.Error(), "several pieces one after another") {
			t.Errorf("%s: error %v", name, err)
		}
	}
	path := filepath.Join(t.TempDir(), "two.ogg")
	if err := os.WriteFile(path, slices.Concat(long, short), 0o644); err != nil {
		t.Fatal(err)
	}
	out, _ := exec.Command(reftest.Tool(t, "ogginfo"), path).CombinedOutput()
	if n := strings.Count(string(out), "New logical stream"); n != 2 {
		t.Errorf("ogginfo counts %d pieces: %s", n, out)
	}
}

// Setup headers that would send the decoder round for ever, or to the end of
// the memory, are turned away by the walk over the codebooks.
func TestVorbisSetupSafe(t *testing.T) {
	t.Parallel()
	book := func(dims, entries uint32, tail ...byte) []byte {
		b := []byte{0, 'B', 'C', 'V', byte(dims), byte(dims >> 8), byte(entries), byte(entries >> 8), byte(entries >> 16)}
		return append(b, tail...)
	}
	zeros := make([]byte, 64) // behind a book: one floor, of type 0
	for _, tt := range []struct {
		name string
		b    []byte
		want bool
	}{
		{"two entries of one bit", book(1, 2, zeros...), true},
		{"no dimensions", book(0, 2, zeros...), false},
		{"no entries", book(1, 0, zeros...), false},
		{"16 million entries", book(1, 0xFFFFFF, zeros...), false},
		{"too many values", book(0xFFFF, 4096, zeros...), false},
		{"runs that end early", book(1, 100, 1), false},
		{"sparse, none used", book(1, 4, append([]byte{2}, zeros...)...), true},
		{"not a codebook", zeros, false},
		{"cut off", book(1, 2), false},
	} {
		_, err := mendVorbisSetup(tt.b)
		if taken := err == nil || err == errFloor0; taken != tt.want {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
	for _, tt := range []struct{ entries, dims, want uint64 }{{6561, 8, 3}, {6560, 8, 2}, {1, 4, 1}, {125, 3, 5}, {7, 1, 7}} {
		if got := integerRoot(tt.entries, tt.dims); got != tt.want {
			t.Errorf("root %d of %d = %d", tt.dims, tt.entries, got)
		}
	}
}

// A comment header may claim any number of comments and any length.
func TestVorbisCommentsThatLie(t *testing.T) {
	t.Parallel()
	le := binary.LittleEndian
	text := func(s string) []byte { return append(le.AppendUint32(nil, uint32(len(s))), s...) }
	for _, b := range [][]byte{
		nil,
		le.AppendUint32(nil, math.MaxUint32),
		le.AppendUint32(text("encoder"), math.MaxUint32),
		append(le.AppendUint32(text("encoder"), 2), append(text("title=Rain"), 0xFF, 0xFF, 0xFF, 0xFF, 'x')...),
	} {
		var v vorbisFile
		v.readComments(b)
		if got := fmt.Sprint(v.info.Title); got != "" && got != "Rain" {
			t.Errorf("%x: title %q", b, got)
		}
	}
}
