package gapless

import (
	"bytes"
	"io"
	"math/rand/v2"
	"slices"
	"testing"
)

// A counter counts what is read of a source.
type counter struct {
	io.ReadSeeker
	reads, bytes int64
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.ReadSeeker.Read(p)
	c.reads++
	c.bytes += int64(n)
	return n, err
}

// measureIndex indexes b and tells how much was looked at and read for it.
func measureIndex(b []byte) (work int64, c *counter, err error) {
	c = &counter{ReadSeeker: bytes.NewReader(b)}
	w := newWindow(c, scanBuffer, scanBuffer/4)
	_, err = readIndex(w, int64(len(b)))
	return w.work, c, err
}

// Limits on the work for one index. A place may begin a frame, and up to
// changeChain headers are then looked at ahead of it, once for each of the two
// readers that may pass it (trusted and resync); bytes are searched once by each.
// The buffer is moved over the source in steps of three quarters of its size, and
// a few looks are taken at its ends for tags.
func checkWork(t *testing.T, b []byte) {
	t.Helper()
	work, c, _ := measureIndex(b)
	size := int64(len(b))
	if limit := 2*(changeChain+4)*size + 1000; work > limit {
		t.Errorf("%d bytes took %d looks, want at most %d", size, work, limit)
	}
	if limit := 2*size + 4*scanBuffer; c.bytes > limit {
		t.Errorf("%d bytes took %d bytes of reading, want at most %d", size, c.bytes, limit)
	}
	if limit := size/(scanBuffer/4) + 40; c.reads > limit {
		t.Errorf("%d bytes took %d reads, want at most %d", size, c.reads, limit)
	}
}

// junk is n bytes that are no MP3, as a raw recording is none.
func junk(n int) []byte {
	rnd := rand.New(rand.NewPCG(3, 5))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(rnd.Uint32())
	}
	return b
}

// What is no MP3, or stands before one, is looked at about once.
func TestWorkIsLinear(t *testing.T) {
	whole := testFile(t, "cbr-stereo.mp3")
	head := whole[:frameOffsets(t, whole)[1]]
	for name, b := range map[string][]byte{
		"noise":                    junk(100_000),
		"noise before an MP3":      slices.Concat(junk(100_000), whole),
		"noise behind an MP3":      slices.Concat(whole, junk(100_000)),
		"headers, no frames":       bytes.Repeat([]byte{0xff, 0xfb, 0x90, 0x44}, 25_000),
		"sync words, no headers":   bytes.Repeat([]byte{0xff}, 100_000),
		"a tag frame, then noise":  slices.Concat(head, junk(100_000)),
		"half an MP3, then noise":  slices.Concat(whole[:len(whole)/2], junk(100_000), whole[len(whole)/2:]),
		"headers of another kind":  slices.Concat(whole, bytes.Repeat([]byte{0xff, 0xf3, 0x90, 0xc4}, 25_000)),
		"tags on tags, then noise": slices.Concat(bytes.Repeat(id3v2(4, nil), 1000), junk(50_000)),
	} {
		t.Run(name, func(t *testing.T) { checkWork(t, b) })
	}
}

// Any bytes: the work stays in proportion to the length.
func FuzzWork(f *testing.F) {
	for _, b := range seekFiles(f) {
		f.Add(b, uint16(0))
		f.Add(b[:600], uint16(20_000))
	}
	f.Add(bytes.Repeat([]byte{0xff, 0xfb, 0x90, 0x44}, 1000), uint16(0))
	f.Fuzz(func(t *testing.T, b []byte, before uint16) {
		if len(b) > maxIndexed {
			return
		}
		checkWork(t, slices.Concat(junk(int(before)), b))
	})
}

// BenchmarkJunk indexes 1 MB that is no MP3.
func BenchmarkJunk(b *testing.B) {
	raw := junk(1 << 20)
	b.SetBytes(int64(len(raw)))
	for b.Loop() {
		if _, _, err := measureIndex(raw); err == nil {
			b.Fatal("found an MP3 in noise")
		}
	}
}
