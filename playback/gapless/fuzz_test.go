package gapless

import (
	"bytes"
	"slices"
	"testing"
)

// The longest fuzz inputs in bytes: what is decoded in a few milliseconds, and
// what is indexed in as many.
const (
	maxDecoded = 2400
	maxIndexed = 16 << 10
)

// Any bytes: an error or a stream, no panic; a seek into the middle gives what
// a straight read gives.
func FuzzReader(f *testing.F) {
	for _, b := range seekFiles(f) {
		f.Add(b[:maxDecoded], uint16(3000))
	}
	f.Fuzz(func(t *testing.T, b []byte, to uint16) {
		if len(b) > maxDecoded {
			return
		}
		r, err := NewReader(bytes.NewReader(b))
		if err != nil || len(r.ix.entries) > 50 {
			return
		}
		straight := readAll(t, r)
		if len(straight) != r.Len() {
			t.Fatalf("%d frames of %d", len(straight), r.Len())
		}
		r.Info()
		at := int(to) % (len(straight) + 1)
		r = open(t, b)
		if err := r.Seek(at); err != nil {
			t.Fatal(err)
		}
		got := make([][2]float64, min(1300, len(straight)-at))
		if n, _ := r.Stream(got); n != len(got) || !slices.EqualFunc(got, straight[at:at+n], same) {
			t.Fatalf("seek to %d gives other frames", at)
		}
	})
}

// Any bytes: the index stays within the source, in order, and is no larger
// than the source allows.
func FuzzIndex(f *testing.F) {
	for _, b := range seekFiles(f) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > maxIndexed {
			return
		}
		ix, err := newIndex(bytes.NewReader(b))
		if err != nil {
			return
		}
		// The smallest frame is 24 bytes long; a tag may claim as many again.
		if n := len(ix.entries); n > 2*len(b)/24+4 {
			t.Fatalf("%d entries for %d bytes", n, len(b))
		}
		last := int64(0)
		for k, e := range ix.entries {
			if e.size == 0 {
				continue
			}
			if int64(e.off) < last || int64(e.off)+int64(e.size) > ix.end || int(e.lead) > int(e.data) {
				t.Fatalf("entry %d is %+v behind %d", k, e, last)
			}
			last = int64(e.off) + int64(e.size)
		}
		if ix.frames > 0 && ix.skip+ix.frames > int64(len(ix.entries))*ix.perFrame() {
			t.Fatalf("%d+%d frames of %d entries", ix.skip, ix.frames, len(ix.entries))
		}
	})
}

func same(a, b [2]float64) bool { return a == b }

// Any bytes before and behind the stream: no panic, bounds within the file.
func FuzzTags(f *testing.F) {
	f.Add(id3v2(3, [][2]string{{"TIT2", "\x00a"}, {"COMM", "\x00engiTunSMPB\x00 0 0 0 0"}}), ape(true))
	f.Add(appended(id3v2(4, [][2]string{{"TALB", utf16le("x")}})), lyrics3v2())
	f.Add(id3v2(2, [][2]string{{"TT2", "\x00a"}}), id3v1("a", "b", "c"))
	f.Add([]byte{}, []byte("LYRICSBEGINla la laLYRICSEND"))
	stream := testFile(f, "mpeg2-24k.mp3")
	f.Fuzz(func(t *testing.T, head, tail []byte) {
		if len(head)+len(tail) > maxIndexed {
			return
		}
		b := slices.Concat(head, stream, tail)
		r, err := NewReader(bytes.NewReader(b))
		if err != nil {
			return
		}
		i := r.Info()
		if i.AudioStart < 0 || i.AudioStart >= i.AudioEnd || i.AudioEnd > int64(len(b)) {
			t.Fatalf("sound in %d..%d of %d bytes", i.AudioStart, i.AudioEnd, len(b))
		}
		parseSMPB(string(head))
	})
}
