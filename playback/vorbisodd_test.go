package playback

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/jfreymuth/vorbis"
)

// headerEnd is the number of the page that the headers end on.
func headerEnd(t *testing.T, pages [][]byte) int {
	t.Helper()
	ended := 0
	for i, p := range pages {
		for _, n := range p[27 : 27+int(p[26])] {
			if n < 255 {
				ended++
			}
		}
		if ended >= 3 {
			return i
		}
	}
	t.Fatal("there are no three headers")
	return 0
}

// withPackets is page with the lacing values and bytes of more packets behind
// its own.
func withPackets(page, lacing, body []byte) []byte {
	n := 27 + int(page[26])
	out := slices.Concat(page[:n], lacing, page[n:], body)
	out[26] += byte(len(lacing))
	return out
}

// oddOgg is the file of pages with audio on the page that the headers end on: as
// many lacing values' worth of the first audio page, all where that is 0.
func oddOgg(t *testing.T, pages [][]byte, values int) []byte {
	t.Helper()
	k := headerEnd(t, pages)
	audio := pages[k+1]
	lacing, body := audio[27:27+int(audio[26])], audio[27+int(audio[26]):]
	var out [][]byte
	if values == 0 {
		joined := withPackets(pages[k], lacing, body)
		copy(joined[6:14], audio[6:14]) // its position
		out = slices.Concat(pages[:k], [][]byte{joined}, pages[k+2:])
	} else {
		size := 0
		for _, n := range lacing[:values] {
			size += int(n)
		}
		head := slices.Concat(audio[:26], []byte{byte(len(lacing) - values)})
		out = slices.Concat(pages[:k], [][]byte{withPackets(pages[k], lacing[:values], body[:size])},
			[][]byte{withPackets(append(head[:26:26], 0), lacing[values:], body[size:])}, pages[k+2:])
	}
	for i := range out {
		out[i] = bytes.Clone(out[i])
		binary.LittleEndian.PutUint32(out[i][18:], uint32(i))
	}
	return sealed(out)
}

// firstPacket is how many lacing values the first packet of the first audio page
// takes.
func firstPacket(t *testing.T, pages [][]byte) int {
	t.Helper()
	audio := pages[headerEnd(t, pages)+1]
	return 1 + slices.IndexFunc(audio[27:27+int(audio[26])], func(n byte) bool { return n < 255 })
}

// Audio that starts on the page of the headers is against Vorbis I, A.2, and is met
// in the music of games all the same. Both references lose something of one of
// the two kinds: libvorbisfile all audio of that page, which the first case shows,
// ffmpeg nothing. Positions decide: they say where a page ends.
func TestVorbisAudioBehindHeaders(t *testing.T) {
	t.Parallel()
	whole := vorbisBytes(t, 100_000, "-q3")
	pages := oggPages(t, whole)
	want := readAll(t, mustOpenBytes(t, whole))
	late := oggPages(t, whole)
	moveGranules(late, -128) // as if its first packet had been left out: two short blocks overlap by 128
	for _, tt := range []struct {
		name string
		file []byte
		want [][2]float64
		odd  string
	}{
		{"a page of it", oddOgg(t, pages, 0), want, " ms of its start, or more"},
		{"its first packet", oddOgg(t, pages, firstPacket(t, pages)), want, "players may differ by some milliseconds"},
		{"its first packet, not counted", oddOgg(t, late, firstPacket(t, late)), want[128:], "players may differ by some milliseconds"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := mustOpenBytes(t, tt.file)
			if i := s.Info(); !strings.Contains(i.Odd, tt.odd) || i.Truncated != "" {
				t.Errorf("odd %q, truncated %q", i.Odd, i.Truncated)
			}
			if got := readAll(t, s); !slices.Equal(got, tt.want) {
				t.Errorf("%d frames, and not those of the file without the oddity, %d", len(got), len(tt.want))
			}
			path := filepath.Join(t.TempDir(), "odd.ogg")
			if err := os.WriteFile(path, tt.file, 0o644); err != nil {
				t.Fatal(err)
			}
			checkSeeks(t, path, tt.want)
			if a, b := hashAudio(t, path), mustHash(t, whole); len(tt.want) == len(want) && a != b {
				t.Errorf("the sound hashes to %s, without the oddity to %s", a, b)
			}
		})
	}
	if got := mustOpenBytes(t, whole).Info().Odd; got != "" {
		t.Errorf("a file by the standard is odd: %s", got)
	}
}

func mustHash(t *testing.T, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "whole.ogg")
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return hashAudio(t, path)
}

// What the outside programs make of such files: ffmpeg plays all that follows the
// headers, oggdec what the positions count.
func TestVorbisOddAgainstOthers(t *testing.T) {
	t.Parallel()
	whole := vorbisBytes(t, 100_000, "-q3")
	pages, late := oggPages(t, whole), oggPages(t, whole)
	path := filepath.Join(t.TempDir(), "joined.ogg")
	if err := os.WriteFile(path, oddOgg(t, pages, 0), 0o644); err != nil {
		t.Fatal(err)
	}
	raw := ffmpegRaw(t, path, "f32le")
	got := readAll(t, mustOpen(t, path))
	if len(raw) != 8*len(got) {
		t.Fatalf("%d frames, ffmpeg has %d", len(got), len(raw)/8)
	}
	for i, f := range got {
		for c := range 2 {
			if want := math.Float32frombits(binary.LittleEndian.Uint32(raw[8*i+4*c:])); math.Abs(f[c]-float64(want)) > 1e-5 {
				t.Fatalf("frame %d is %v, ffmpeg has %v", i, f, want)
			}
		}
	}
	moveGranules(late, -128)
	primed := oddOgg(t, late, firstPacket(t, late))
	got, want := readAll(t, mustOpenBytes(t, primed)), oggdec(t, primed)
	if 2*len(got) != len(want) {
		t.Fatalf("%d frames, oggdec has %d", len(got), len(want)/2)
	}
	for i := range want {
		if math.Abs(got[i/2][i%2]-float64(want[i])/(1<<15)) > 1.01/(1<<15) {
			t.Fatalf("frame %d is %v, oggdec has %v", i/2, got[i/2], want[i])
		}
	}
}

// withBook is an Ogg Vorbis file with one more codebook behind its own, which no
// packet asks: the bits of the setup header, but for the count of books, stay.
func withBook(t *testing.T, file []byte, book func(w *lsbWriter)) []byte {
	t.Helper()
	pages := oggPages(t, file)
	k := headerEnd(t, pages)
	if k != 1 {
		t.Fatalf("the headers end on page %d", k)
	}
	lacing, body := pages[1][27:27+int(pages[1][26])], pages[1][27+int(pages[1][26]):]
	comments, n := 0, slices.IndexFunc(lacing, func(n byte) bool { return n < 255 })
	for _, v := range lacing[:n+1] {
		comments += int(v)
	}
	setup := body[comments:]
	m := &bookMender{r: lsbReader{b: setup[7:]}}
	m.w.write(m.r.read(8)+1, 8)
	for range setup[7] + 1 {
		if !m.book() {
			t.Fatal("the encoder's own book is refused")
		}
	}
	book(&m.w)
	for m.r.bit < 8*len(m.r.b) {
		m.pass(1)
	}
	setup = slices.Concat(setup[:7], m.w.b)
	more := bytes.Repeat([]byte{255}, len(setup)/255)
	page := append(bytes.Clone(pages[1][:26]), byte(n+1))
	page = slices.Concat(page, lacing[:n+1], body[:comments])
	pages[1] = withPackets(page, append(more, byte(len(setup)%255)), setup)
	return sealed(pages)
}

// Books that the reference decoder takes and the library does not: they are written
// anew, and nothing of the sound changes. ffmpeg plays the same.
func TestVorbisBooksWrittenAnew(t *testing.T) {
	t.Parallel()
	whole := vorbisBytes(t, 30_000, "-q3")
	want := readAll(t, mustOpenBytes(t, whole))
	header := func(w *lsbWriter, dims, entries uint64) {
		w.write(0x564342, 24)
		w.write(dims, 16)
		w.write(entries, 24)
	}
	for name, book := range map[string]func(w *lsbWriter){
		"none of 625 entries used": func(w *lsbWriter) {
			header(w, 4, 625)
			w.write(0, 1) // not ordered
			w.write(1, 1) // sparse
			for range 625 {
				w.write(0, 1)
			}
			w.write(0, 4)
		},
		"2744 is 14 to the third": func(w *lsbWriter) {
			header(w, 3, 2744)
			w.write(1, 1)  // ordered: 1352 codes of 11 bits, and 1392 of 12, fill the tree
			w.write(10, 5) // the shortest has 11 bits
			w.write(1352, 12)
			w.write(1392, 11)
			w.write(1, 4)
			w.write(0, 64)
			w.write(5, 4)
			w.write(0, 1)
			for i := range uint64(14) {
				w.write(i, 6)
			}
		},
	} {
		file := withBook(t, whole, book)
		s, err := openBytes(file)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !slices.Equal(readAll(t, s), want) {
			t.Errorf("%s: the sound is another", name)
		}
		path := filepath.Join(t.TempDir(), "book.ogg")
		if err := os.WriteFile(path, file, 0o644); err != nil {
			t.Fatal(err)
		}
		if raw := ffmpegRaw(t, path, "f32le"); len(raw) != 8*len(want) {
			t.Errorf("%s: ffmpeg plays %d frames of %d", name, len(raw)/8, len(want))
		}
	}
}

// A book of lookup type 1 spelt out as one of type 2. By Vorbis I, 3.2.1: value i
// of an entry is number (entry / 5^i) mod 5 of the list, for 5 values and three
// dimensions. Entry 7 = 2 + 1*5 is 2, 1, 0; entry 124 = 4 + 4*5 + 4*25 is 4, 4, 4;
// entry 50 = 0 + 0*5 + 2*25 is 0, 0, 2.
func TestBookSpeltOut(t *testing.T) {
	t.Parallel()
	var in lsbWriter
	for _, v := range []uint64{10, 11, 12, 13, 14} {
		in.write(v, 7)
	}
	m := &bookMender{r: lsbReader{b: in.b}}
	m.spellOut(125, 3, 5, 7)
	out := lsbReader{b: m.w.b}
	got := make([][3]uint64, 125)
	for i := range got {
		got[i] = [3]uint64{out.read(7), out.read(7), out.read(7)}
	}
	for entry, want := range map[int][3]uint64{0: {10, 10, 10}, 7: {12, 11, 10}, 50: {10, 10, 12}, 124: {14, 14, 14}} {
		if got[entry] != want {
			t.Errorf("entry %d is %v, want %v", entry, got[entry], want)
		}
	}
	if m.w.bit != 125*3*7 {
		t.Errorf("%d bits written", m.w.bit)
	}
}

// An identification header has 30 bytes, begins with type 1 and the name, and names two
// block sizes of 2^6 to 2^13, the short one first (Vorbis I, 4.2.2). Of one that breaks
// a rule nothing is taken, the channels neither.
func TestIdentification(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(id []byte) []byte{
		"sound":             func(id []byte) []byte { return id },
		"a byte short":      func(id []byte) []byte { return id[:29] },
		"another type":      func(id []byte) []byte { id[0] = 3; return id },
		"another name":      func(id []byte) []byte { id[1] = 'V'; return id },
		"short after long":  func(id []byte) []byte { id[28] = 0x8b; return id },
		"short below 2^6":   func(id []byte) []byte { id[28] = 0xb5; return id },
		"long above 2^13":   func(id []byte) []byte { id[28] = 0xe8; return id },
		"both the smallest": func(id []byte) []byte { id[28] = 0x66; return id },
		"both the largest":  func(id []byte) []byte { id[28] = 0xdd; return id },
	} {
		id := append([]byte("\x01vorbis\x00\x00\x00\x00\x02\x44\xac\x00\x00"), make([]byte, 14)...)
		id[28], id[29] = 0xb8, 1
		var v vorbisFile
		err := v.useHeaders([][]byte{spoil(id), {5}})
		want := 0
		if name == "sound" || strings.HasPrefix(name, "both") {
			want = 2
		}
		if err == nil || v.info.Channels != want {
			t.Errorf("%s: %d channels, %v; want %d, and an error for want of the setup", name, v.info.Channels, err, want)
		}
	}
}

// Codes of 32 bits are the longest there are (Vorbis I, 3.2.1): lengths that begin at 32
// may be given, and none of 33.
func TestOrderedLengths(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		runs []uint64
		want bool
	}{{[]uint64{1}, true}, {[]uint64{0, 1}, false}} {
		var in lsbWriter
		in.write(31, 5) // the first length, less 1
		for _, run := range c.runs {
			in.write(run, 1)
		}
		m := &bookMender{r: lsbReader{b: in.b}}
		if got := m.orderedLengths(1); got != c.want {
			t.Errorf("runs of %v from length 32: %v", c.runs, got)
		}
	}
}

// floorSetup is the part of a setup header up to its floors: one book, and floors of
// the given types.
func floorSetup(types ...uint64) []byte {
	var w lsbWriter
	w.write(0, 8) // one book
	w.write(0x564342, 24)
	w.write(1, 16)
	w.write(2, 24)
	w.write(0, 2) // lengths one by one
	w.write(0, 10)
	w.write(0, 4) // no values
	w.write(0, 6) // one time domain transform
	w.write(0, 16)
	w.write(uint64(len(types)-1), 6)
	for _, kind := range types {
		w.write(kind, 16)
		if kind == 1 {
			w.write(2, 5) // two partitions, of classes 0 and 1
			w.write(0, 4)
			w.write(1, 4)
			w.write(2, 3) // class 0: three values, no subclasses
			w.write(0, 2)
			w.write(0, 8)
			w.write(0, 3) // class 1: one value, two subclasses
			w.write(1, 2)
			w.write(0, 24)
			w.write(0, 2)
			w.write(7, 4)
			w.write(0, 4*7)
		}
	}
	w.write(0, 64)
	return w.b
}

// The library would play floors of type 0 as numbers that are none.
func TestVorbisFloor0Found(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		types []uint64
		want  error
	}{
		{[]uint64{0}, errFloor0},
		{[]uint64{1, 0}, errFloor0},
		{[]uint64{1, 1, 0}, errFloor0},
		{[]uint64{1}, nil},
		{[]uint64{1, 1}, nil},
	} {
		if _, err := mendVorbisSetup(floorSetup(tt.types...)); !errors.Is(err, tt.want) {
			t.Errorf("floors %v: %v", tt.types, err)
		}
	}
}

// TestVorbisEntry: a page on which one packet ends that began before is none to enter at,
// nor is one on which none ends.
func TestVorbisEntry(t *testing.T) {
	t.Parallel()
	page := func(flags byte, granule int64, lacing ...byte) []byte {
		p := append([]byte("OggS\x00"), flags)
		p = binary.LittleEndian.AppendUint64(p, uint64(granule))
		p = append(p, make([]byte, 12)...)
		p = append(append(p, byte(len(lacing))), lacing...)
		for _, n := range lacing {
			p = append(p, make([]byte, n)...)
		}
		return p
	}
	b := sealed([][]byte{
		page(oggContinued, 100, 10), page(0, -1, 255, 255), page(oggContinued, -1, 255), page(oggContinued, 300, 20, 30), page(0, 400, 40),
	})
	src, err := newOggSource(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	v := vorbisFile{src: src}
	for from, want := range map[int64]int64{0: 300, int64(len(b) - 68): 400} {
		if p, err := v.entry(from, int64(len(b))); err != nil || p.granule != want {
			t.Errorf("from %d: the page that ends at %d, %v; want %d", from, p.granule, err, want)
		}
	}
	if _, err := v.entry(int64(len(b)-67), int64(len(b))); err != errNoPage {
		t.Errorf("behind the last page: %v", err)
	}
}

// TestVorbisCommentsMissing: a second packet that is no comments is passed over.
func TestVorbisCommentsMissing(t *testing.T) {
	t.Parallel()
	src, err := newOggSource(bytes.NewReader(vorbisBytes(t, 5000)))
	if err != nil {
		t.Fatal(err)
	}
	var packets [][]byte
	var partial []byte
	for at := int64(0); len(packets) < 3; {
		p, err := src.page(at)
		if err != nil {
			t.Fatal(err)
		}
		partial = p.packets(partial, vorbisPacketLimit, func(b []byte) { packets = append(packets, bytes.Clone(b)) })
		at = p.end
	}
	packets = packets[:3]
	packets[1] = []byte{3}
	v := vorbisFile{dec: new(vorbis.Decoder)}
	if err := v.useHeaders(packets); err != nil {
		t.Error(err)
	}
}

// TestVorbisLastPageLarge: a place in a last page of some 40 kB, in most of which no page
// begins, is found like any other.
func TestVorbisLastPageLarge(t *testing.T) {
	t.Parallel()
	b := vorbisBytes(t, 300_000)
	pages := oggPages(t, b)
	last := pages[len(pages)-1]
	k := len(pages) - 1
	for ; int(pages[k-1][26])+int(last[26]) <= 255; k-- {
		n := 27 + int(last[26])
		head := bytes.Clone(pages[k-1])
		copy(head[6:14], last[6:14])
		head[5] |= last[5] & oggLast
		last = withPackets(head, last[27:n], last[n:])
	}
	if len(last) < 30_000 {
		t.Fatalf("the last page has %d bytes", len(last))
	}
	large := mustOpenBytes(t, sealed(append(pages[:k:k], last)))
	plain := mustOpenBytes(t, b)
	if large.Len() != plain.Len() {
		t.Fatalf("%d frames, want %d", large.Len(), plain.Len())
	}
	for _, at := range []int{plain.Len() - 1000, plain.Len() / 2, plain.Len() - 60_000, 0} {
		got, want := make([][2]float64, 500), make([][2]float64, 500)
		for s, to := range map[*Soundtrack][][2]float64{large: got, plain: want} {
			if err := s.Seek(at); err != nil {
				t.Fatal(err)
			}
			if n, _ := s.Stream(to); n != len(to) {
				t.Fatalf("from %d: %d frames, %v", at, n, s.Err())
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("from %d: another sound", at)
		}
	}
}
